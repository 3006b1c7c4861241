package main

import (
	"bytes"
	"runtime/debug"
	"strings"
	"testing"
)

func TestExitStatuses(t *testing.T) {
	cases := []struct {
		name   string
		args   []string
		status int
	}{
		{"no command shows the help", nil, exitDone},
		{"help", []string{"--help"}, exitDone},
		{"version", []string{"version"}, exitDone},
		{"unknown command", []string{"measure-twice"}, exitInput},
		{"unknown option", []string{"version", "--loud"}, exitInput},
		{"argument too many", []string{"version", "now"}, exitInput},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			out, complaint, status := program("", c.args...)
			if status != c.status {
				t.Errorf("status %d, want %d", status, c.status)
			}
			if (out == "") != (c.status != exitDone) || (complaint == "") != (c.status == exitDone) {
				t.Errorf("printed %q and complained %q; want one of them", out, complaint)
			}
		})
	}
}

func TestVersionSaysWhatItWasBuiltFrom(t *testing.T) {
	setting := func(key, value string) debug.BuildSetting { return debug.BuildSetting{Key: key, Value: value} }
	cases := []struct {
		name string
		info debug.BuildInfo
		want string
	}{
		{"nothing known", debug.BuildInfo{}, "fairlead (devel)"},
		{"release", debug.BuildInfo{GoVersion: "go1.26", Main: debug.Module{Version: "v1.2.0"}}, "fairlead v1.2.0 go1.26"},
		{"commit", debug.BuildInfo{GoVersion: "go1.26", Settings: []debug.BuildSetting{
			setting("vcs.modified", "false"), setting("vcs.revision", "0123456789abcdef")}}, "fairlead (devel) 0123456789ab go1.26"},
		{"changed since", debug.BuildInfo{GoVersion: "go1.26", Settings: []debug.BuildSetting{
			setting("vcs.revision", "0123456789abcdef"), setting("vcs.modified", "true")}}, "fairlead (devel) 0123456789ab+ go1.26"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			var out bytes.Buffer
			if err := printVersion(&out, &c.info); err != nil {
				t.Fatal(err)
			}
			if got := strings.TrimSpace(out.String()); got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}
