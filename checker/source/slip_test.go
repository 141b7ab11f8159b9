package source_test

import (
	"testing"

	"kitgauge/checker/source"
)

// The likeliest slips of kits written between brackets: each is one problem,
// told where it is, with what undoes it.
func TestSlips(t *testing.T) {
	const tail = "\nc:\n  - {id: B, at: [1 mm, 2 mm, 3 mm]}\nd: 1\n"
	for _, tt := range []struct{ name, text, want string }{
		{"brace lost", "a:\n  - {id: A, at: {b: 1}", "k:2:23: the { opened on line 2, column 5 is not closed; line 3 cannot belong to it; put } at the end of line 2"},
		{"bracket lost", "a:\n  - {id: A, at: [1 mm, 2 mm, b: 1}", "k:2:28: the [ opened on line 2, column 17 is not closed; put ] behind 2 mm"},
		{"brace doubled", "a:\n  - {{id: A, b: 1}", "k:2:6: a bracket { too many stands here; take one { out"},
		{"bracket doubled", "a:\n  - {id: A, at: [1 mm, 2 mm]]}", "k:2:29: a bracket ] too many stands here; take one ] out"},
		{"wrong kind", "a:\n  - {id: A, at: [1 mm, 2 mm}, b: 1}", "k:2:28: } stands where the [ of line 2 is to be closed; write ] in its place"},
		{"bracket not opened", "a:\n  - {id: A, at: 1 mm, 2 mm], b: 1}", "k:2:17: a [ is missing before 1 mm; put [ before 1 mm"},
		{"comma lost", "a:\n  - {id: A b: 1}", "k:2:11: a comma is missing before b; put a comma behind A"},
		{"comma lost between numbers", "a:\n  - {at: [1 mm 2 mm, 3 mm]}", "k:2:15: a comma is missing before 2 mm; put a comma behind 1 mm"},
		{"comma doubled", "a:\n  - {id: A,, b: 1}", "k:2:12: a comma too many stands here; take one , out"},
		{"no values", "a:\n  - {id: A, at: [, , ], b: 1}", "k:2:17: values are missing between the commas of [, , ]; write them, or leave the brackets empty until they are known"},
		{"no values in lines", "a:\n  - id: A\n    at: [, , ]", "k:3:9: values are missing between the commas of [, , ]; write them, or leave the brackets empty until they are known"},
		{"one value of three missing", "a:\n  - {id: A, at: [1 mm, , 3 mm]}", "k:2:17: values are missing between the commas of [1 mm, , 3 mm]; write them, or leave the brackets empty until they are known"},
		{"semicolon", "a:\n  - {id: A; b: 1}", "k:2:11: a semicolon stands where a comma separates; write , in its place"},
		{"colon lost", "a:\n  - {id A, b: 1}", "k:2:6: no colon stands behind the key id; write id: A"},
		{"space lost", "a:\n  - {id:A, b: 1}", "k:2:6: no space stands behind the colon; write id: A"},
		{"equals sign", "a:\n  - {id = A, b: 1}", "k:2:6: = stands where a colon separates key and value; write id: A"},
		{"quote not closed", "a:\n  - {id: \"A, x, b: 1}", "k:2:15: the quote opened on line 2, column 10 is not closed; put \" behind x"},
		{"quote not opened", "a:\n  - {id: A, x\", b: 1}", "k:2:10: a quote is closed here that was not opened; put \" before A"},
		{"indented too far", "a:\n  - id: A\n     b: 1", "k:3:6: the line is indented by 5, and those beside it by 4; indent it by 4 spaces"},
		{"indented too little", "a:\n  - id: A\n   b: 1", "k:3:4: the line is indented by 3, and those beside it by 4; indent it by 4 spaces"},
		{"tab", "a:\n\t- id: A", "k:2:1: a tab stands where the indentation should be; indent with spaces"},
	} {
		_, problems := source.Parse("k", []byte(tt.text+tail))
		if len(problems) != 1 || problems[0].Error() != tt.want {
			t.Errorf("%s: got %v, want %s", tt.name, problems, tt.want)
		}
	}
}
