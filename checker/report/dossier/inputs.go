package dossier

import (
	"crypto/sha256"
	"encoding/hex"
	"strings"

	"kitgauge/checker/finding"
)

// inputs lists what a dossier rests on.
type inputs struct {
	Facts  []named
	List   []file
	Rules  int // built-in rule packs that are not listed
	Tables []table
}

type file struct {
	Role, Name string
	Bytes      int
	Digest     []string // in parts between which a line may break
}

func newInputs(in *Input) *inputs {
	m := &inputs{Facts: []named{{"Program", "kitgauge " + in.Run.Version}, {"Gate", in.Run.Gate.String()}}}
	if in.Run.Gate == finding.None {
		m.Facts[1].Text = "none is set"
	}
	if in.Run.On != "" {
		m.Facts = append(m.Facts, named{"Day", in.Run.On + ", for concessions"})
	}
	if len(in.LeftOut) > 0 {
		m.Facts = append(m.Facts, named{"Left out", "rule packs " + strings.Join(in.LeftOut, ", ")})
	}
	for _, f := range in.Files {
		if f.BuiltIn && !in.Full {
			m.Rules++
			continue
		}
		m.List = append(m.List, file{string(f.Role), f.Name, len(f.Text), digest(f.Text)})
	}
	if len(in.Changes) > 0 {
		t := table{ID: "settings-caption", Title: "What the settings change", Caption: "Limits and severities that differ from those of the rule packs", Head: heads("of", "in the pack", "here", "reason", "at")}
		for _, o := range in.Changes {
			t.Rows = append(t.Rows, row(o.Name, o.Was, o.Is, o.Reason, o.Pos.String()))
		}
		m.Tables = append(m.Tables, t)
	}
	return m
}

// digest is the SHA-256 digest in four parts of 16 digits.
func digest(text []byte) []string {
	sum := sha256.Sum256(text)
	digits := hex.EncodeToString(sum[:])
	const part = 16
	var list []string
	for i := 0; i < len(digits); i += part {
		list = append(list, digits[i:i+part])
	}
	return list
}
