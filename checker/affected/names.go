package affected

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// The places in which git looks for a name that is not in full, in its order:
// gitrevisions(7). The first that has it wins, and a tag, which anybody's fetch
// may bring along, comes before a branch.
var places = []string{"refs/%s", "refs/tags/%s", "refs/heads/%s", "refs/remotes/%s", "refs/remotes/%s/HEAD"}

// abbreviated tells what git would take for the beginning of the name of a
// commit where no branch or tag is called so: on its own, or as git describe
// writes it. A full one always is the commit.
var abbreviated = regexp.MustCompile(`^(?:.+-g)?([0-9a-fA-F]{4,})$`)

// unambiguous refuses a revision whose name stands for more than one thing:
// whoever can bring a tag or a branch could have another commit taken for it.
func (r *repository) unambiguous(ctx context.Context, revision string) error {
	name := nameOf(revision)
	if name == "" || name == "@" || name == "HEAD" || strings.ContainsAny(name, `*?[\ `) { // which no name of a branch or tag holds
		return nil
	}
	found, err := r.called(ctx, name)
	switch {
	case err != nil || len(found) == 0 || found[0] == name:
		return err
	case strings.HasPrefix(name, "refs/"):
		return fmt.Errorf("there is no %s in this repository, and %s is another", name, found[0])
	case len(found) > 1:
		return ambiguous(name, found, found[len(found)-1])
	case strings.HasSuffix(name, "_HEAD"):
		return ambiguous(name, []string{found[0], "a file of git's own"}, found[0])
	}
	if short := abbreviated.FindStringSubmatch(name); short != nil {
		objects, err := r.run(ctx, "rev-parse", "--disambiguate="+short[1])
		if full := strings.TrimSpace(string(objects)); err != nil || full != "" && full != strings.ToLower(name) {
			return errors.Join(err, ambiguous(name, []string{found[0], "the beginning of a commit's name"}, found[0]))
		}
	}
	return r.ofRemote(ctx, name, found[0])
}

// ofRemote refuses a tag or a branch of this repository that is called as one of
// a remote would be, and stands in where that one was not fetched.
func (r *repository) ofRemote(ctx context.Context, name, full string) error {
	if strings.HasPrefix(full, "refs/remotes/") || !strings.Contains(name, "/") {
		return nil
	}
	out, err := r.run(ctx, "remote")
	if err != nil {
		return err
	}
	for remote := range strings.SplitSeq(string(out), "\n") {
		if remote != "" && strings.HasPrefix(name, remote+"/") {
			return fmt.Errorf("%q is %s here, and no branch of the remote %s: fetch refs/remotes/%s, or write %s in full if that is meant", name, full, remote, name, full)
		}
	}
	return nil
}

// nameOf is the name with which a revision begins, without what walks on from
// there, as in main~2, main^{tree} and main@{1}.
func nameOf(revision string) string {
	if i := strings.IndexAny(revision, "^~:"); i >= 0 {
		revision = revision[:i]
	}
	name, _, _ := strings.Cut(revision, "@{")
	return name
}

// called lists in full what has a name, in the order of the places.
func (r *repository) called(ctx context.Context, name string) ([]string, error) {
	wanted := []string{name}
	for _, place := range places {
		wanted = append(wanted, fmt.Sprintf(place, name))
	}
	out, err := r.run(ctx, slices.Concat([]string{"for-each-ref", "--format=%(refname)", "--"}, wanted)...)
	if err != nil {
		return nil, err
	}
	lines := strings.Split(string(out), "\n") // also of what lies below a name
	return slices.DeleteFunc(wanted, func(ref string) bool { return !slices.Contains(lines, ref) }), nil
}

func ambiguous(name string, means []string, example string) error {
	return fmt.Errorf("%q is ambiguous, it is %s: write in full which is meant, as in %s", name, strings.Join(means, " and "), example)
}
