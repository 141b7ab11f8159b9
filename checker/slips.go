package checker

import (
	"kitgauge/checker/facts"
	"kitgauge/checker/finding"
	"kitgauge/checker/kit"
	"kitgauge/checker/slip"
	"kitgauge/checker/source"
)

// Slips looks for the one slip that explains most of what was found in a kit.
func (c *Checker) Slips(r *Result, o slip.Options) slip.Report {
	if r.Facts == nil {
		return slip.Report{}
	}
	newTree := func() *source.Document {
		docs, _ := source.Parse(r.File, r.Text.Text)
		return docs[r.Document]
	}
	o.Choices = c.choices(r)
	return slip.Search(newTree, r.Findings, func(doc *source.Document) []finding.Finding { return c.trial(r.File, doc) }, o)
}

// trial is the check of a tree alone: without its shape, its concessions and
// what is known.
func (c *Checker) trial(file string, doc *source.Document) []finding.Finding {
	r := &Result{File: file, Shaped: true, Text: doc}
	model, problems := kit.Read(doc)
	r.fault("file/value", problems...)
	catalogue, read := c.catalogue(model)
	r.fault("file/catalogue", read.problems...)
	r.fault("file/reference", model.Resolve(catalogue)...)
	r.Facts = facts.Compute(model)
	if err := c.evaluate(r, newWatch(0)); err != nil {
		return nil
	}
	return r.Findings
}

// choices lists the parts of the same kind for the number of a part.
func (c *Checker) choices(r *Result) slip.Choices {
	catalogue, _ := c.catalogue(r.Facts.Kit)
	return func(n *source.Node) []string { return catalogue.Kin(n.Scalar) }
}
