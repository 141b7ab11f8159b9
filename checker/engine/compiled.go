package engine

import (
	"encoding/binary"
	"errors"
	"strings"

	"github.com/google/cel-go/cel"
	exprpb "google.golang.org/genproto/googleapis/api/expr/v1alpha1"
	"google.golang.org/protobuf/proto"

	"kitgauge/checker/units"
)

// Compiled holds expressions that were type-checked when the program was
// built, so that a check need not parse the built-in packs' expressions
// again: parsing and checking them takes longer than all else. It is only
// true for the vocabulary and the limits with which it was made, which a test
// holds.
type Compiled struct{ of map[string][]byte }

// key names an expression: what it can see, and its text.
func (e *expression) key(p *Pack, kind string) string {
	return strings.Join([]string{p.Name, kind, e.text}, "\x00")
}

// Compile type-checks what an evaluation of the packs needs and returns it in
// the form that ReadCompiled reads.
func Compile(packs []*Pack) ([]byte, error) {
	var out []byte
	seen := map[string]bool{}
	for _, p := range packs {
		for _, r := range p.Rules {
			for _, e := range r.needed() {
				key := e.key(p, r.Of)
				if seen[key] {
					continue
				}
				seen[key] = true
				record, err := e.record(p, r.Of)
				if err != nil {
					return nil, err
				}
				out = appendText(appendText(out, []byte(key)), record)
			}
		}
	}
	return out, nil
}

// record is the dimension of the expression, then its checked form without
// the places in its text, which only messages need.
func (e *expression) record(p *Pack, kind string) ([]byte, error) {
	fresh := &expression{text: e.text, node: e.node, offset: e.offset, want: e.want}
	fresh.compile(&Pack{Name: p.Name, vocabulary: p.vocabulary, provider: p.provider}, kind)
	if len(fresh.problems) > 0 {
		return nil, fresh.problems[0]
	}
	checked, err := cel.AstToCheckedExpr(fresh.ast)
	if err != nil {
		return nil, err
	}
	checked.SourceInfo = nil
	body, err := proto.MarshalOptions{Deterministic: true}.Marshal(checked)
	if err != nil {
		return nil, err
	}
	return append(fresh.dim.bytes(), body...), nil
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

// ReadCompiled reads what Compile wrote.
func ReadCompiled(data []byte) (*Compiled, error) {
	c := &Compiled{of: map[string][]byte{}}
	next := func() ([]byte, error) {
		size, n := binary.Uvarint(data)
		if n <= 0 || size > uint64(len(data)-n) {
			return nil, errors.New("the compiled rules are damaged")
		}
		text := data[n : n+int(size)]
		data = data[n+int(size):]
		return text, nil
	}
	for len(data) > 0 {
		key, err := next()
		if err != nil {
			return nil, err
		}
		record, err := next()
		if err != nil {
			return nil, err
		}
		c.of[string(key)] = record
	}
	return c, nil
}

// stored makes the expression ready from its compiled form; false where there
// is none.
func (e *expression) stored(p *Pack, kind string) bool {
	if p.Compiled == nil {
		return false
	}
	record := p.Compiled.of[e.key(p, kind)]
	if len(record) < dimensionBytes {
		return false
	}
	var checked exprpb.CheckedExpr
	if err := proto.Unmarshal(record[dimensionBytes:], &checked); err != nil {
		return false
	}
	program, err := e.env.Program(cel.CheckedExprToAst(&checked), e.options(p)...)
	if err != nil {
		return false
	}
	e.program, e.dim = program, dimensionOf(record)
	return true
}
