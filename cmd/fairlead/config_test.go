package main

import (
	"io"
	"net"
	"path/filepath"
	"strings"
	"testing"
)

func TestServeRefusesWhatWouldBeUnsafeOrUnclear(t *testing.T) {
	cases := []struct {
		name string
		args []string
		says string
	}{
		{"another machine in the clear", []string{"--addr", "0.0.0.0:8080"}, "would carry the record in the clear"},
		{"every address", []string{"--addr", ":8080"}, "would carry the record in the clear"},
		{"no port", []string{"--addr", "127.0.0.1"}, "give HOST:PORT"},
		{"half of TLS", []string{"--tls-cert", "a.pem"}, "give both or neither"},
		{"two records", []string{"--data", "a", "--database", "postgres://b"}, "exclude each other"},
		{"a proxy that is no address", []string{"--behind-proxy", "somewhere"}, "is not an address"},
		{"an unknown log format", []string{"--log-format", "poem"}, "give text or json"},
		{"an unknown log level", []string{"--log-level", "loud"}, "give debug, info, warn or error"},
		{"an unknown flag", []string{"--adress", "127.0.0.1:0"}, "unknown flag"},
		{"an argument", []string{"now"}, "unknown command"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Chdir(t.TempDir())
			out, complaint, status := program("", append([]string{"serve"}, c.args...)...)
			if status != exitInput || !strings.Contains(complaint, c.says) || out != "" {
				t.Errorf("status %d, printed %q, complained %q; want 2 and %q", status, out, complaint, c.says)
			}
		})
	}
}

func TestServeSaysThatItsAddressIsTaken(t *testing.T) {
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer listener.Close()
	_, complaint, status := program("", "serve", "--data", t.TempDir(), "--addr", listener.Addr().String(), "--log-level", "error")
	if status != exitInput || !strings.Contains(complaint, "give another --addr") {
		t.Errorf("status %d, complained %q; want 2 and what to do", status, complaint)
	}
}

// Each flag that is not given comes from its variable; one that is given wins.
func TestFlagsFromTheEnvironment(t *testing.T) {
	t.Setenv("FAIRLEAD_ADDR", "0.0.0.0:8080")
	t.Setenv("FAIRLEAD_DATA", filepath.Join(t.TempDir(), "record"))
	_, complaint, status := program("", "serve")
	if status != exitInput || !strings.Contains(complaint, "0.0.0.0:8080") {
		t.Errorf("status %d, complained %q; want the refusal of the variable's address", status, complaint)
	}
	p := start(t, "serve", "--addr", "127.0.0.1:0", "--log-level", "error")
	p.says(ownersLink)
	p.ends()
}

func TestLogLinesAreStructured(t *testing.T) {
	cases := []struct{ format, want string }{{"text", "msg=hello"}, {"json", `"msg":"hello"`}}
	for _, c := range cases {
		t.Run(c.format, func(t *testing.T) {
			var out strings.Builder
			conf := serving{logFormat: c.format, logLevel: "info"}
			log, err := conf.logger(io.Writer(&out))
			if err != nil {
				t.Fatal(err)
			}
			log.Debug("too fine")
			log.Info("hello")
			if !strings.Contains(out.String(), c.want) || strings.Contains(out.String(), "too fine") {
				t.Errorf("logged %q, want %s alone", out.String(), c.want)
			}
		})
	}
}

func TestAddressesOfThisMachine(t *testing.T) {
	cases := []struct {
		addr string
		want bool
	}{
		{"127.0.0.1:1", true}, {"127.8.0.1:1", true}, {"[::1]:1", true}, {"localhost:1", true}, {":1", false},
		{"192.0.2.7:1", false}, {"[::]:1", false}, {"example.org:1", false},
	}
	for _, c := range cases {
		conf := serving{addr: c.addr}
		if got, err := conf.onLoopback(); got != c.want || err != nil {
			t.Errorf("%s: %v, error %v; want %v", c.addr, got, err, c.want)
		}
	}
}
