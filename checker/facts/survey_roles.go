package facts

import (
	"math"
	"slices"

	"kitgauge/checker/quantities/survey"
	"kitgauge/checker/value"
)

// roleWords say in the name of a joint which role it has; loosely are those
// that other roles have as well.
var (
	roleWords = map[string]string{
		"kingpin": "steering", "kingpins": "steering", "steering": "steering", "knuckle": "steering",
		"spring": "suspension", "springs": "suspension", "suspension": "suspension",
		"articulation": "articulation", "drawbar": "drawbar", "cab": "cab",
		"boom": "boom", "lift": "boom", "arm": "boom", "plough": "boom", "chute": "boom",
		"tipping": "tipping", "tipper": "tipping", "hopper": "tipping", "dump": "tipping",
		"slide": "slide",
	}
	loosely = []string{"lift", "arm", "plough", "chute", "hopper", "dump", "knuckle", "slide"}
)

// roleMeant doubts the role of a joint whose axis, kind or range does not go
// with it, and goes with the role of its twin or with the one that its name
// says.
func (s *surveyor) roleMeant(j, twin *Joint) {
	words := survey.Words(j.Name.V + " " + j.ID.V)
	said := roleNamed(words)
	fits := s.goesWith(j, j.Role.V)
	if fits { // only a plain word, or the twin with it, speaks against the role then
		words = slices.DeleteFunc(words, func(w string) bool { return slices.Contains(loosely, w) })
		if plain := roleNamed(words); plain == "" || plain != said {
			return
		}
	}
	if !j.Role.Known {
		return
	}
	if twin != nil && twin.Role.Known && twin.Role.V != j.Role.V && s.goesWith(j, twin.Role.V) && (!fits || twin.Role.V == said) {
		j.RoleMeant, j.RoleBy = twin.Role, value.Known("its twin "+twin.Joint.Label()+" has the role "+twin.Role.V)
	}
	if !j.RoleMeant.Known && said != "" && said != j.Role.V && s.goesWith(j, said) {
		j.RoleMeant, j.RoleBy = value.Known(said), value.Known("its name is that of one with the role "+said)
	}
	if b := s.byBody[j.Child.To]; j.RoleMeant.Known && b != nil && j.Role.V == "steering" {
		b.Steered = value.Known(false)
	}
}

// roleNamed is the one role that the words of a name say, "" where it is none
// or more than one.
func roleNamed(words []string) string {
	role := ""
	for _, w := range words {
		r := roleWords[w]
		switch {
		case r == "" || r == role:
		case role != "":
			return ""
		default:
			role = r
		}
	}
	return role
}

// goesWith reports whether kind, axis and range of a joint are those of a
// role, as far as they are known.
func (s *surveyor) goesWith(j *Joint, role string) bool {
	if !j.FromVertical.Known {
		return true
	}
	up, along, across := j.FromVertical.V, j.FromAlong.V, j.FromAcross.V
	level := s.limit("level_lean")
	within := func(v value.Number, least, most string) bool {
		return !v.Known || v.V >= s.limit(least) && v.V <= s.limit(most)
	}
	if j.Kind.V == "prismatic" {
		switch role {
		case "suspension":
			return up <= s.limit("travel_lean") && within(j.Travels, "travel_least", "travel_most")
		case "slide":
			return true
		}
		return false
	}
	switch role {
	case "steering":
		return up <= s.limit("steering_lean") && within(j.LeastSide, "steering_least", "steering_most")
	case "suspension":
		return up >= math.Pi/2-level && within(j.Turns, "swing_least", "swing_most")
	case "tipping":
		return min(along, across) <= level && within(j.Turns, "tipping_least", "tipping_most")
	case "cab":
		return min(along, across) <= level && within(j.Turns, "cab_least", "cab_most")
	case "articulation":
		return min(up, along) <= s.limit("articulation_lean") && within(j.Turns, "articulation_least", "articulation_most")
	case "drawbar":
		return min(up, across) <= level && within(j.Turns, "drawbar_least", "drawbar_most")
	}
	return role != "slide"
}
