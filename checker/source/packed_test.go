package source_test

import (
	"bytes"
	"testing"

	"kitgauge/checker/source"
)

// FuzzUnpack reads damaged packed trees: an error, or a tree that is whole
// and is the same when it is packed again.
func FuzzUnpack(f *testing.F) {
	for _, text := range []string{"a: 1\n", "[1, -2.5, ~, true, 'x', \"y\"]", "a: {b: [{c: |\n  d\n}]}", "{}", "[[[[[]]]]]"} {
		docs, _ := source.Parse("pack.yaml", []byte(text))
		for _, d := range docs {
			f.Add(d.Pack())
		}
	}
	f.Add([]byte{})
	f.Add([]byte("\x05\x01\x01\xff\xff\xff\x1f"))
	f.Add(bytes.Repeat([]byte("\x04\x01\x01\x01"), 200))
	f.Fuzz(func(t *testing.T, packed []byte) {
		doc, err := source.Unpack("pack.yaml", nil, packed)
		if err != nil {
			if doc != nil {
				t.Errorf("%q: a document beside the error %v", packed, err)
			}
			return
		}
		look(t, doc.Root, 0)
		again, err := source.Unpack("pack.yaml", nil, doc.Pack())
		if err != nil {
			t.Fatalf("%q: packed again it is %v", packed, err)
		}
		if why := source.Differ(doc.Root, again.Root); why != "" {
			t.Errorf("%q: packed again it differs: %s", packed, why)
		}
	})
}
