package main

import (
	"fmt"
	"io"
	"runtime/debug"

	"github.com/spf13/cobra"
)

// newVersion returns the command that says which build this is.
func newVersion() *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "Print the version of the program and what it was built from",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			info, ok := debug.ReadBuildInfo()
			if !ok {
				info = &debug.BuildInfo{}
			}
			return printVersion(cmd.OutOrStdout(), info)
		},
	}
}

// printVersion writes one line: version, revision where it is known (with a
// plus when the tree held changes not committed) and the Go release.
func printVersion(w io.Writer, info *debug.BuildInfo) error {
	version, revision, changed := info.Main.Version, "", ""
	if version == "" {
		version = "(devel)"
	}
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision" && len(s.Value) >= 12:
			revision = " " + s.Value[:12]
		case s.Key == "vcs.modified" && s.Value == "true":
			changed = "+"
		}
	}
	if revision == "" {
		changed = ""
	}
	_, err := fmt.Fprintf(w, "fairlead %s%s%s %s\n", version, revision, changed, info.GoVersion)
	return err
}
