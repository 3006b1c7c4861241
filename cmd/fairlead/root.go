package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os/signal"
	"syscall"

	"github.com/spf13/cobra"
)

// The exit statuses of the program.
const (
	exitDone    = 0
	exitFailure = 1 // a failure of ours or of the machine
	exitInput   = 2 // bad input: an option, a file or its content
)

// streams are the standard streams, passed in so that tests run the program
// in-process.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

// inputError is an error that whoever runs the program can mend. Its text is
// complete: one or more lines "file:line: what is wrong; what to do".
type inputError struct{ text string }

func (e inputError) Error() string { return e.text }

// run executes the program with the arguments after its name until it is done,
// or until ctx ends or the process is asked to stop, and returns the exit
// status.
func run(ctx context.Context, args []string, std streams) int {
	ctx, stop := signal.NotifyContext(ctx, syscall.SIGINT, syscall.SIGTERM)
	defer stop()

	// Whatever goes wrong before a command starts is about how it was called.
	started := false
	root := newRoot(std)
	root.PersistentPreRun = func(*cobra.Command, []string) { started = true }
	root.SetArgs(append([]string{}, args...)) // nil would mean the arguments of the process
	called, err := root.ExecuteContextC(ctx)

	var bad inputError
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, &bad):
		fmt.Fprintln(std.err, bad.text)
		return exitInput
	case !started:
		fmt.Fprintf(std.err, "fairlead: %v; see %s --help\n", err, called.CommandPath())
		return exitInput
	default:
		fmt.Fprintf(std.err, "fairlead: %v\n", err)
		return exitFailure
	}
}

// newRoot returns the command without a name of its own and all below it.
func newRoot(std streams) *cobra.Command {
	root := &cobra.Command{
		Use:               "fairlead",
		Short:             "Follow how limb, socket and cover fit each other, visit after visit",
		SilenceErrors:     true,
		SilenceUsage:      true,
		CompletionOptions: cobra.CompletionOptions{DisableDefaultCmd: true},
	}
	root.SetIn(std.in)
	root.SetOut(std.out)
	root.SetErr(std.err)
	root.AddCommand(
		newGirths(std),
		newTrend(std),
		newReliability(std),
		newMeasure(std),
		newCohort(std),
		newVersion(),
		newServe(std),
		newDemo(std),
	)
	return root
}
