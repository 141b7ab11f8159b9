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
		{nil, ""},
		{of("(devel)"), ""},
		{of("v0.1.0"), " (module v0.1.0)"},
		{of("v0.0.0-20261127-0123456789ab", "vcs.revision", "0123456789abcdef", "vcs.modified", "false"), " (revision 0123456789ab)"},
		{of("(devel)", "vcs.revision", "0123", "vcs.modified", "true"), " (revision 0123, changed since)"},
	} {
		if got := built(tt.info); got != tt.want {
			t.Errorf("%+v: got %q, want %q", tt.info, got, tt.want)
		}
	}
}
