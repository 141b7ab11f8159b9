package affected

import (
	"context"
	"strings"
)

// Revisions lists the names of branches and tags of the repository that holds
// the working directory, those of other places included, and HEAD: what a
// person may mean by a revision. None where there is no repository.
func Revisions(ctx context.Context) []string {
	r, err := open(ctx, ".")
	if err != nil {
		return nil
	}
	out, err := r.run(ctx, "for-each-ref", "--format=%(refname:short)", "--count=500", "--sort=-committerdate", "refs/heads", "refs/remotes", "refs/tags")
	if err != nil {
		return nil
	}
	return append([]string{"HEAD"}, strings.Fields(string(out))...)
}
