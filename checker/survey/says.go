package survey

import (
	"encoding/json"
	"strings"
	"sync"

	"kitgauge/schema"
)

// said is what the schema of the kit file says of a member.
type said struct {
	Ref         string           `json:"$ref"`
	Description string           `json:"description"`
	Enum        []string         `json:"enum"`
	Properties  map[string]*said `json:"properties"`
	Items       *said            `json:"items"`
	Required    []string         `json:"required"`
}

// tree is the schema, with the groups to which it refers.
var tree = sync.OnceValue(func() (all struct {
	said
	Groups map[string]*said `json:"$defs"`
}) {
	text, _ := schema.Text("kit")
	// enumerations of other things than words are nothing for a sheet
	if err := json.Unmarshal(text, &all); err != nil {
		panic("survey: the schema of the kit file: " + err.Error())
	}
	return all
})

func (s *said) group() *said {
	if name, is := strings.CutPrefix(s.Ref, "#/$defs/"); is {
		return tree().Groups[name]
	}
	return s
}

// axes say how the three numbers of a place or a direction go.
var axes = map[string]string{"x": "x, forward", "y": "y, to the left", "z": "z, up"}

// describe looks up the description of a member, and the words that it takes.
func describe(path string) (says string, words []string) {
	root := tree().said
	at := &root
	for key := range strings.SplitSeq(path, ".") {
		group := at.group()
		for group.Items != nil && group.Properties == nil && axes[key] == "" {
			group = group.Items.group()
		}
		if axes[key] != "" && group.Properties[key] == nil {
			text, _, _ := strings.Cut(at.Description, " [x, y, z]")
			return axes[key] + ". " + text, nil
		}
		if at = group.Properties[key]; at == nil {
			panic("survey: the schema of the kit file has no " + path)
		}
	}
	words = at.Enum
	if group := at.group(); words == nil && group != nil {
		words = group.Enum
	}
	return at.Description, words
}
