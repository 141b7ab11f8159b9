package engine

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"maps"
	"slices"
	"strings"

	"github.com/google/cel-go/cel"
	exprpb "google.golang.org/genproto/googleapis/api/expr/v1alpha1"
	"google.golang.org/protobuf/proto"

	"kitgauge/checker/units"
)

// Compiled holds expressions that were type-checked when the program was
// built, so that a check need not parse the built-in packs' expressions
// again: parsing and checking them takes longer than all else. What was made
// from another text than the pack's, or with other types, is passed over.
type Compiled struct{ of map[string]compiledPack }

type compiledPack struct {
	digest  []byte
	records []byte
}

// What the digest of a compiled pack covers beside the pack and the types: a
// change of the format below, and the version of the library, whose checked
// form is kept. A test holds the version to go.mod.
const (
	compiledFormat = "2"
	celVersion     = "v0.31.0"
)

// digest covers all that the compiled form of a pack depends on.
func (p *Pack) digest() []byte {
	h := sha256.New()
	fmt.Fprintf(h, "%s %s %d\n%s", compiledFormat, celVersion, len(p.text), p.text)
	for _, l := range p.Limits {
		fmt.Fprintf(h, "%s %v\n", l.Name, l.Dim)
	}
	h.Write(p.vocabulary.signature())
	return h.Sum(nil)
}

// sign is the digest of all that an expression can name: the kinds and what
// they lead to, and the functions.
func (v *Types) sign() []byte {
	h := sha256.New()
	for _, name := range v.names {
		fmt.Fprintf(h, "%s %s\n", name, v.byType[v.kinds[name].Type].name)
	}
	for _, name := range slices.Sorted(maps.Keys(v.objects)) {
		o := v.objects[name]
		fmt.Fprintf(h, "%s\n", name)
		for _, key := range o.keys {
			f := o.fields[key]
			fmt.Fprintf(h, " %s %v %v %v %v %v\n", key, f.cel.Type, f.dim, f.hasDim, f.inherit, f.words)
		}
	}
	for i := range v.functions {
		fmt.Fprintf(h, "%s %v %v\n", v.functions[i].Name, v.functions[i].Args, v.functions[i].Result)
	}
	return h.Sum(nil)
}

// key names an expression within its pack: what it can see, and its text.
func (e *expression) key() string {
	parts := []string{e.rule.Of, e.text}
	for _, n := range e.names {
		parts = append(parts, n.name, n.text)
	}
	return strings.Join(parts, "\x00")
}

// Compile type-checks what an evaluation of the packs needs and returns it in
// the form that ReadCompiled reads. For each pack that is its name, a digest
// of what it was made from, a sum of the records, and the records: key,
// dimension and checked form of an expression.
func Compile(packs []*Pack) ([]byte, error) {
	var out []byte
	for _, p := range packs {
		records, err := p.records()
		if err != nil {
			return nil, err
		}
		out = append(out, p.seal(records)...)
	}
	return out, nil
}

// seal puts before the records what tells whether they can be used.
func (p *Pack) seal(records []byte) []byte {
	var out []byte
	for _, part := range [][]byte{[]byte(p.Name), p.digest(), sum(records), records} {
		out = appendText(out, part)
	}
	return out
}

func sum(records []byte) []byte {
	return binary.BigEndian.AppendUint32(nil, crc32.ChecksumIEEE(records))
}

func (p *Pack) records() ([]byte, error) {
	var out []byte
	seen := map[string]bool{}
	for _, r := range p.Rules {
		for _, e := range r.needed() {
			key := e.key()
			if seen[key] {
				continue
			}
			seen[key] = true
			record, err := e.record()
			if err != nil {
				return nil, err
			}
			out = appendText(appendText(out, []byte(key)), record)
		}
	}
	return out, nil
}

// record is the dimension of the expression, then its checked form without
// the places in its text, which only messages need.
func (e *expression) record() ([]byte, error) {
	e.compile()
	if len(e.problems) > 0 {
		return nil, e.problems[0]
	}
	if e.ast == nil {
		return nil, errors.New("the pack was made ready from its compiled form")
	}
	checked, err := cel.AstToCheckedExpr(e.ast)
	if err != nil {
		return nil, err
	}
	checked.SourceInfo = nil
	body, err := proto.MarshalOptions{Deterministic: true}.Marshal(checked)
	if err != nil {
		return nil, err
	}
	return append(e.dim.bytes(), body...), nil
}

func (d dimension) bytes() []byte {
	flag := func(b bool) byte {
		if b {
			return 1
		}
		return 0
	}
	u := d.Dimension
	return []byte{flag(d.known), flag(d.zero), byte(u.Length), byte(u.Mass), byte(u.Time), byte(u.Current), byte(u.Temperature), byte(u.Angle)}
}

const dimensionBytes = 8

func dimensionOf(b []byte) dimension {
	return dimension{
		known: b[0] == 1, zero: b[1] == 1,
		Dimension: units.Dimension{Length: int8(b[2]), Mass: int8(b[3]), Time: int8(b[4]), Current: int8(b[5]), Temperature: int8(b[6]), Angle: int8(b[7])},
	}
}

func appendText(out, text []byte) []byte {
	return append(binary.AppendUvarint(out, uint64(len(text))), text...)
}

// errDamaged is an error of the program's own data, not of a person's file.
var errDamaged = errors.New("the compiled rules are damaged")

// next takes a text off the data.
func next(data []byte) (text, rest []byte, err error) {
	size, n := binary.Uvarint(data)
	if n <= 0 || size > uint64(len(data)-n) {
		return nil, nil, errDamaged
	}
	return data[n : n+int(size)], data[n+int(size):], nil
}

// ReadCompiled reads what Compile wrote.
func ReadCompiled(data []byte) (*Compiled, error) {
	c := &Compiled{of: map[string]compiledPack{}}
	for len(data) > 0 {
		var parts [4][]byte
		for i := range parts {
			var err error
			if parts[i], data, err = next(data); err != nil {
				return nil, err
			}
		}
		if !bytes.Equal(parts[2], sum(parts[3])) {
			return nil, errDamaged
		}
		c.of[string(parts[0])] = compiledPack{digest: parts[1], records: parts[3]}
	}
	return c, nil
}

// Use takes over the compiled form of the pack's expressions, and reports
// whether there is one that was made from this very pack. Otherwise they are
// compiled from their text.
func (p *Pack) Use(c *Compiled) bool {
	if c == nil || !bytes.Equal(c.of[p.Name].digest, p.digest()) {
		return false
	}
	stored := map[string][]byte{}
	for data := c.of[p.Name].records; len(data) > 0; {
		key, rest, err := next(data)
		if err != nil {
			return false
		}
		if stored[string(key)], data, err = next(rest); err != nil {
			return false
		}
	}
	p.stored = stored
	return true
}

// stored makes the expression ready from its compiled form; false where there
// is none.
func (e *expression) stored() bool {
	p := e.rule.pack
	if p.stored == nil {
		return false
	}
	record := p.stored[e.key()]
	if len(record) < dimensionBytes {
		return false
	}
	var checked exprpb.CheckedExpr
	if err := proto.Unmarshal(record[dimensionBytes:], &checked); err != nil {
		return false
	}
	// Variables are resolved when it runs: one environment does for all kinds.
	ast := cel.CheckedExprToAst(&checked)
	program, err := p.env("kit").Program(ast, e.options()...)
	if err != nil {
		return false
	}
	e.gives, e.program, e.dim = ast.OutputType(), program, dimensionOf(record)
	return true
}
