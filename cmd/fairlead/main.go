// Command fairlead keeps the record of how a residual limb, a socket and a
// cosmetic cover fit each other, and works out from girths whether the limb
// has changed beyond what a tape can tell.
package main

import (
	"context"
	"os"
	_ "time/tzdata" // the zones of workshops, on machines without a tz database
)

func main() {
	os.Exit(run(context.Background(), os.Args[1:], streams{in: os.Stdin, out: os.Stdout, err: os.Stderr}))
}
