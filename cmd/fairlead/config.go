package main

import (
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"os"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// serving is the configuration of serve and demo. Every field is a flag and,
// for what is not given as one, an environment variable: --data is
// FAIRLEAD_DATA. There is no configuration file.
type serving struct {
	addr      string
	data      string
	database  string
	tlsCert   string
	tlsKey    string
	proxy     string
	logFormat string
	logLevel  string
}

func (s *serving) addTo(flags *pflag.FlagSet) {
	flags.StringVar(&s.addr, "addr", "127.0.0.1:8080", "address to serve on, HOST:PORT")
	flags.StringVar(&s.logFormat, "log-format", "text", "text or json, on standard error")
	flags.StringVar(&s.logLevel, "log-level", "info", "debug, info, warn or error")
}

// fromEnvironment fills each flag that was not given from its variable.
func fromEnvironment(cmd *cobra.Command, _ []string) error {
	var errs []error
	cmd.Flags().VisitAll(func(f *pflag.Flag) {
		name := "FAIRLEAD_" + strings.ToUpper(strings.ReplaceAll(f.Name, "-", "_"))
		value, set := os.LookupEnv(name)
		if !set || f.Changed {
			return
		}
		if err := cmd.Flags().Set(f.Name, value); err != nil {
			errs = append(errs, fmt.Errorf("%s: %w", name, err))
		}
	})
	return errors.Join(errs...)
}

// check refuses to carry health records over a network in the clear.
func (s *serving) check() error {
	if (s.tlsCert == "") != (s.tlsKey == "") {
		return errors.New("--tls-cert and --tls-key go together; give both or neither")
	}
	if s.data != "" && s.database != "" {
		return errors.New("--data and --database exclude each other; give the one that holds the record")
	}
	if s.proxy != "" && net.ParseIP(s.proxy) == nil {
		if _, _, err := net.ParseCIDR(s.proxy); err != nil {
			return fmt.Errorf("--behind-proxy %q is not an address; give the proxy's, such as 10.0.0.2 or 10.0.0.0/24", s.proxy)
		}
	}
	loopback, err := s.onLoopback()
	if err != nil {
		return err
	}
	if !loopback && s.tlsCert == "" && s.proxy == "" {
		return fmt.Errorf("%s can be reached from other machines and would carry the record in the clear; "+
			"give --tls-cert and --tls-key, or --behind-proxy with the address of the proxy that ends TLS", s.addr)
	}
	return nil
}

// onLoopback tells whether the address is reached from this machine only.
func (s *serving) onLoopback() (bool, error) {
	host, _, err := net.SplitHostPort(s.addr)
	if err != nil {
		return false, fmt.Errorf("--addr %q: %w; give HOST:PORT, such as 127.0.0.1:8080", s.addr, err)
	}
	ip := net.ParseIP(host)
	return host == "localhost" || ip != nil && ip.IsLoopback(), nil
}

// logger writes structured lines to standard error.
func (s *serving) logger(stderr io.Writer) (*slog.Logger, error) {
	var level slog.Level
	if err := level.UnmarshalText([]byte(s.logLevel)); err != nil {
		return nil, fmt.Errorf("--log-level %q; give debug, info, warn or error", s.logLevel)
	}
	options := &slog.HandlerOptions{Level: level}
	switch s.logFormat {
	case "text":
		return slog.New(slog.NewTextHandler(stderr, options)), nil
	case "json":
		return slog.New(slog.NewJSONHandler(stderr, options)), nil
	}
	return nil, fmt.Errorf("--log-format %q; give text or json", s.logFormat)
}
