package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"time"

	"fairlead/models"
	"fairlead/server"
	"github.com/spf13/cobra"
)

// databaseFile is the record in its folder.
const databaseFile = "fairlead.db"

// stopWithin is how long requests under way may take to finish after a stop
// signal.
const stopWithin = 20 * time.Second

func newServe(std streams) *cobra.Command {
	var conf serving
	cmd := &cobra.Command{
		Use:   "serve",
		Short: "Serve a workshop's record",
		Long: "Serve a workshop's record, kept in one folder (--data) or in PostgreSQL (--database).\n" +
			"The first start prints a link by which the owner chooses a name and password and sets the time zone.",
		Args:    cobra.NoArgs,
		PreRunE: fromEnvironment,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return runServe(cmd.Context(), conf, std)
		},
	}
	conf.addTo(cmd.Flags())
	cmd.Flags().StringVar(&conf.data, "data", "", "folder that holds the record (default fairlead-data when there is no --database)")
	cmd.Flags().StringVar(&conf.database, "database", "", "PostgreSQL that holds the record, postgres://…")
	cmd.Flags().StringVar(&conf.tlsCert, "tls-cert", "", "TLS certificate file")
	cmd.Flags().StringVar(&conf.tlsKey, "tls-key", "", "TLS key file")
	cmd.Flags().StringVar(&conf.proxy, "behind-proxy", "", "address of the proxy in front that ends TLS")
	return cmd
}

func runServe(ctx context.Context, conf serving, std streams) error {
	if conf.data == "" && conf.database == "" {
		conf.data = "fairlead-data"
	}
	if err := conf.check(); err != nil {
		return inputError{"fairlead: " + err.Error()}
	}
	log, err := conf.logger(std.err)
	if err != nil {
		return inputError{"fairlead: " + err.Error()}
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
	if err := offerFirstOwner(ctx, store, baseURL(listener, conf), std.out); err != nil {
		return errors.Join(err, listener.Close())
	}
	return serveOn(ctx, listener, conf, server.Deps{Store: store, Now: time.Now, Log: log, Proxy: conf.proxy})
}

// openStore opens the record in the folder or the database of the configuration.
func openStore(ctx context.Context, conf serving, log *slog.Logger) (*models.Store, error) {
	if conf.database != "" {
		return models.OpenPostgres(ctx, conf.database, time.Now, log)
	}
	if err := os.MkdirAll(conf.data, 0o700); err != nil {
		return nil, inputError{fmt.Sprintf("fairlead: %v; give another --data", err)}
	}
	return models.OpenSQLite(ctx, filepath.Join(conf.data, databaseFile), time.Now, log)
}

func closeStore(store *models.Store, log *slog.Logger) {
	if err := store.Close(); err != nil {
		log.Error("close the record", "error", err)
	}
}

// serveOn answers requests, and removes what has expired, until ctx ends; then it
// lets the requests under way finish.
func serveOn(ctx context.Context, listener net.Listener, conf serving, deps server.Deps) error {
	log := deps.Log
	handler, err := server.New(deps)
	if err != nil {
		return errors.Join(err, listener.Close())
	}
	web := &http.Server{
		Handler:           handler,
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       time.Minute,
		WriteTimeout:      time.Minute,
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    64 << 10,
		ErrorLog:          slog.NewLogLogger(log.Handler(), slog.LevelWarn),
		TLSConfig:         &tls.Config{MinVersion: tls.VersionTLS12},
	}
	ctx, stop := context.WithCancel(ctx)
	ticker := time.NewTicker(tidyEvery)
	tidied := make(chan struct{})
	go func() {
		defer close(tidied)
		tidyUntilDone(ctx, deps.Store, ticker.C, log)
	}()
	defer func() { // the store is closed after this
		stop()
		ticker.Stop()
		<-tidied
	}()
	ended := make(chan error, 1)
	go func() {
		if conf.tlsCert != "" {
			ended <- web.ServeTLS(listener, conf.tlsCert, conf.tlsKey)
			return
		}
		ended <- web.Serve(listener)
	}()
	log.Info("serving", "address", listener.Addr().String())
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
	}
	log.Info("stopping")
	grace, cancel := context.WithTimeout(context.WithoutCancel(ctx), stopWithin)
	defer cancel()
	if err := web.Shutdown(grace); err != nil {
		return fmt.Errorf("stopping: %w", err)
	}
	return nil
}

// offerFirstOwner prints a link by which the first owner chooses a name and a
// password, as long as nobody can sign in yet.
func offerFirstOwner(ctx context.Context, store *models.Store, base string, out io.Writer) error {
	people, err := store.People(ctx)
	if err != nil {
		return err
	}
	var owner *models.Person
	for _, p := range people {
		if p.PasswordHash != "" {
			return nil
		}
		if p.IsOwner {
			owner = &p
		}
	}
	now := time.Now()
	var path string
	err = store.InTx(ctx, func(tx *models.Store) error {
		if owner == nil {
			first := server.FirstOwner(now)
			owner = &first
			if err := tx.CreatePerson(ctx, owner); err != nil {
				return err
			}
		}
		var link models.OneTimeLink
		link, path = server.NewOneTimeLink(owner.ID, nil, now)
		return tx.CreateOneTimeLink(ctx, &link)
	})
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(out, "Nobody can sign in yet. The owner opens this link, good once and for three days:\n\n    %s%s\n\n", base, path)
	return err
}

// baseURL is where a browser on this machine finds the program.
func baseURL(listener net.Listener, conf serving) string {
	if conf.tlsCert != "" {
		return "https://" + listener.Addr().String()
	}
	return "http://" + listener.Addr().String()
}
