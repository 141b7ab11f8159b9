package dossier

import (
	"slices"

	"kitgauge/checker"
	"kitgauge/checker/compare"
	"kitgauge/rules"
)

// Of gathers what the dossier of a kit is made from. The kit was checked by
// the Checker, with its margins and figures; old, where it is not nil, is an
// older revision of it to say what changed, under the name oldName.
func Of(c *checker.Checker, version string, r, old *checker.Result, oldName string) (Input, error) {
	run, err := c.Report(version, r)
	if err != nil {
		return Input{}, err
	}
	config, err := c.Config(r.File)
	if err != nil {
		return Input{}, err
	}
	in := Input{Run: run, Facts: r.Facts, Changes: config.Changes()}
	builtIn := map[string]bool{}
	for _, f := range r.Inputs {
		if f.BuiltIn {
			builtIn[f.Name] = true
			f.Role += ", built in"
		}
		in.Files = append(in.Files, f)
	}
	in.LeftOut = slices.DeleteFunc(rules.Names(), func(pack string) bool { return builtIn[pack] })
	if old == nil {
		return in, nil
	}
	compared := compare.Of(old.RevisionAs(oldName), r.RevisionAs(r.File))
	in.Against = &compared
	for _, f := range old.Inputs {
		switch f.Role {
		case checker.RoleKit, checker.RoleCatalogue, checker.RoleConcessions: // the others are the same
			f.Role = "older " + f.Role
			in.Files = append(in.Files, f)
		}
	}
	return in, nil
}
