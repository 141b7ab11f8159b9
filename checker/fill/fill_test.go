package fill_test

import (
	"os"
	"path/filepath"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/fill"
	"kitgauge/checker/finding"
)

func TestExamples(t *testing.T) {
	for _, name := range []string{"trailer", "gritter", "loader"} {
		t.Run(name, func(t *testing.T) {
			file := filepath.Join("..", "..", "examples", name, name+".kit.yaml")
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			bare := strip(text)
			os.WriteFile(filepath.Join("/tmp", "bare-"+name+".yaml"), bare, 0o666)
			c := checker.New(checker.Options{NoSettings: true})
			filled, err := fill.Kit(c, file, bare, fill.Options{})
			if err != nil {
				t.Fatal(err)
			}
			os.WriteFile(filepath.Join("/tmp", "full-"+name+".yaml"), filled.Text, 0o666)
			values, lines := size(bare)
			all, of := size(filled.Text)
			t.Logf("%d values on %d lines became %d on %d; %d checks", values, lines, all, of, filled.Checks)
			for _, o := range filled.Open {
				t.Errorf("open: %+v", o)
			}
			for _, r := range filled.After {
				for _, x := range r.Findings {
					if x.Status != finding.Conceded {
						t.Errorf("%s %s, %s: %s", x.Pos, x.Rule, x.Place, x.Message)
					}
				}
			}
		})
	}
}
