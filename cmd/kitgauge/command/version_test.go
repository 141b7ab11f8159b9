package command

import (
	"runtime/debug"
	"testing"
)

func TestBuilt(t *testing.T) {
	of := func(module string, settings ...string) *debug.BuildInfo {
		info := &debug.BuildInfo{Main: debug.Module{Version: module}}
		for i := 0; i < len(settings); i += 2 {
			info.Settings = append(info.Settings, debug.BuildSetting{Key: settings[i], Value: settings[i+1]})
		}
		return info
	}
	for _, tt := range []struct {
		info *debug.BuildInfo
		want string
	}{
		// what the go command records of a build (Go 1.26): of go run and with -buildvcs=false
		{nil, " (revision not recorded)"},
		{of("(devel)"), " (revision not recorded)"},
		{of(""), " (revision not recorded)"},
		// of go install of a version
		{of("v0.1.0"), " (module v0.1.0)"},
		// of a clone: with a tag, without, and with a file changed or added
		{of("v0.1.0", "vcs", "git", "vcs.revision", "45cb70e71397893968fddd94617ba46e29cda9cb", "vcs.modified", "false"), " (revision 45cb70e71397)"},
		{of("v0.1.0+dirty", "vcs", "git", "vcs.revision", "45cb70e71397893968fddd94617ba46e29cda9cb", "vcs.modified", "true"), " (revision 45cb70e71397, changed since)"},
		{of("v0.0.0-20261127-0123456789ab", "vcs.revision", "0123456789abcdef", "vcs.modified", "false"), " (revision 0123456789ab)"},
		{of("(devel)", "vcs.revision", "0123", "vcs.modified", "true"), " (revision 0123, changed since)"},
	} {
		if got := built(tt.info); got != tt.want {
			t.Errorf("%+v: got %q, want %q", tt.info, got, tt.want)
		}
	}
}
