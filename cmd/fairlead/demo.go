package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"os"
	"path/filepath"
	"time"

	"fairlead/models"
	"fairlead/server"
	"fairlead/server/demo"
	"github.com/spf13/cobra"
)

func newDemo(std streams) *cobra.Command {
	var conf serving
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "Make a workshop of invented data and serve it",
		Long: "Make a workshop of invented people and limbs, two years of check-ins that end today, and serve it on\n" +
			"this machine. A folder given with --data is kept, and served as it is the next time.",
		Args:    cobra.NoArgs,
		PreRunE: fromEnvironment,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return runDemo(cmd.Context(), conf, std)
		},
	}
	conf.addTo(cmd.Flags())
	cmd.Flags().StringVar(&conf.data, "data", "", "folder for the invented record (default a new one, named at the start)")
	return cmd
}

func runDemo(ctx context.Context, conf serving, std streams) error {
	loopback, err := conf.onLoopback()
	if err != nil {
		return inputError{"fairlead: " + err.Error()}
	}
	if !loopback {
		return inputError{fmt.Sprintf("fairlead: %s can be reached from other machines, and the demonstration shows its passwords; "+
			"give an --addr on this one, such as 127.0.0.1:8080", conf.addr)}
	}
	log, err := conf.logger(std.err)
	if err != nil {
		return inputError{"fairlead: " + err.Error()}
	}
	if conf.data == "" {
		if conf.data, err = os.MkdirTemp("", "fairlead-demo-"); err != nil {
			return fmt.Errorf("folder for the demonstration: %w", err)
		}
	}
	if err := makeDemo(ctx, conf, log); err != nil {
		if ctx.Err() != nil {
			return nil // asked to stop: nothing was kept
		}
		return err
	}
	store, err := openStore(ctx, conf, log)
	if err != nil {
		return err
	}
	defer closeStore(store, log)
	listener, err := net.Listen("tcp", conf.addr)
	if err != nil {
		return inputError{fmt.Sprintf("fairlead: %v; stop the other program or give another --addr", err)}
	}
	base := baseURL(listener, conf)
	link, err := linkOfDemo(ctx, store)
	if err != nil {
		return errors.Join(err, listener.Close())
	}
	if err := announceDemo(std.out, base, base+link, conf.data); err != nil {
		return errors.Join(err, listener.Close())
	}
	deps := server.Deps{Store: store, Now: time.Now, Log: log}
	for _, s := range demo.SignIns {
		deps.DemoSignIns = append(deps.DemoSignIns, server.DemoSignIn{Who: s.Who, SignIn: s.SignIn, Password: s.Password})
	}
	return serveOn(ctx, listener, conf, deps)
}

// makeDemo fills the folder with the invented workshop, unless one is there. A
// folder that holds anything else is left alone.
func makeDemo(ctx context.Context, conf serving, log *slog.Logger) error {
	if err := os.MkdirAll(conf.data, 0o700); err != nil {
		return inputError{fmt.Sprintf("fairlead: %v; give another --data", err)}
	}
	now := time.Now()
	clock := &demo.Clock{}
	clock.Set(now)
	store, err := models.OpenSQLite(ctx, filepath.Join(conf.data, databaseFile), clock.Now, log)
	if err != nil {
		return err
	}
	defer closeStore(store, log)
	workshop, err := store.Workshop(ctx)
	if err != nil && !errors.Is(err, models.ErrNotFound) {
		return err
	}
	people, err := store.CountPeople(ctx)
	switch {
	case err != nil:
		return err
	case workshop.Invented:
		return nil
	case workshop.Name != "" || people > 0:
		return inputError{fmt.Sprintf("fairlead: %s holds the record of a real workshop; give another --data", conf.data)}
	}
	return demo.Fill(ctx, store, clock, now, server.HashPassword)
}

// linkOfDemo makes a private link by which an invented client reports: its token
// is kept nowhere, so each start has one of its own.
func linkOfDemo(ctx context.Context, store *models.Store) (path string, err error) {
	client, err := store.ClientByCode(ctx, demo.LinkClient)
	if err != nil {
		return "", fmt.Errorf("client of the demonstration's link: %w", err)
	}
	fitter, err := store.PersonBySignIn(ctx, demo.SignIns[0].SignIn)
	if err != nil {
		return "", fmt.Errorf("fitter of the demonstration's link: %w", err)
	}
	link, path := server.NewReportLink(client.ID, fitter.ID, time.Now())
	return path, store.CreateReportLink(ctx, &link)
}

// announceDemo tells where it is, who can sign in, by which link a client
// reports, and that all is invented.
func announceDemo(out io.Writer, base, link, folder string) error {
	text := "Everybody and everything in this workshop is invented.\n\n    " + base + "\n\n"
	for _, s := range demo.SignIns {
		text += fmt.Sprintf("    %-12s sign in as %-12s password %s\n", s.Who, s.SignIn, s.Password)
	}
	text += "\n    The private link of client " + demo.LinkClient + ", who reports without signing in:\n    " + link + "\n"
	_, err := fmt.Fprintf(out, "%s\nIts record lies in %s.\n", text, folder)
	return err
}
