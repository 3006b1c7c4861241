package server

import (
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"testing"
	"time"

	"fairlead/analytics/quantity"
)

func TestNetworkOf(t *testing.T) {
	tests := []struct{ address, want string }{
		{"192.0.2.7", "192.0.2.7"},
		{"::ffff:192.0.2.7", "192.0.2.7"},
		{"2001:db8:1:2:3:4:5:6", "2001:db8:1:2::/64"},
		{"2001:db8:1:2::", "2001:db8:1:2::/64"},
		{"2001:0DB8:1:2:ffff::1", "2001:db8:1:2::/64"},
		{"2001:db8:1:3::1", "2001:db8:1:3::/64"},
		{"fe80::1%eth0", "fe80::/64"},
		{"::1", "::/64"},
		{"", ""},
		{"not an address", "not an address"},
	}
	for _, tt := range tests {
		if got := networkOf(tt.address); got != tt.want {
			t.Errorf("%q counts as %q, want %q", tt.address, got, tt.want)
		}
	}
}

// TestSlowKeysOfANetwork: whoever has a whole network of IPv6 gains no tries by it.
func TestSlowKeysOfANetwork(t *testing.T) {
	one, two, far := slowKeys("rill", "2001:db8::1"), slowKeys("rill", "2001:db8::2:1"), slowKeys("rill", "2001:db8:0:1::1")
	for i := range one {
		if one[i].key != two[i].key {
			t.Errorf("key %d differs within a network", i)
		}
	}
	if one[0].key == far[0].key || one[1].key == far[1].key || one[2].key != far[2].key {
		t.Error("another network is taken for the same, or the account for another")
	}
}

func TestMissesAreCountedByTheHour(t *testing.T) {
	m, now := newMisses(), time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)
	for i := range mostMisses {
		if total, slow := m.add("a", now); slow || total != i+1 {
			t.Errorf("miss %d: %d in all, slow %v", i+1, total, slow)
		}
	}
	if _, slow := m.add("a", now.Add(missWindow-1)); !slow {
		t.Error("one more within the hour is not slowed")
	}
	if _, slow := m.add("b", now); slow {
		t.Error("another address is slowed")
	}
	if total, slow := m.add("a", now.Add(missWindow)); slow || total != 1 {
		t.Errorf("an hour later: %d in all, slow %v", total, slow)
	}
}

// TestMissesAreBounded: a flood from many addresses takes no more memory than this.
func TestMissesAreBounded(t *testing.T) {
	m, now := newMisses(), time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)
	for range mostMisses {
		m.add("first", now)
	}
	for i := range 3 * mostMissAddresses {
		m.add(fmt.Sprint(i), now.Add(time.Duration(i)))
	}
	if n := len(m.from); n > mostMissAddresses {
		t.Errorf("%d addresses are kept, want at most %d", n, mostMissAddresses)
	}
	if total, _ := m.add("last", now.Add(time.Second)); total != mostMisses+3*mostMissAddresses+1 {
		t.Errorf("%d in all", total)
	}
}

// TestMissesDoNotHoldUpALinkThatWorks: a whole clinic may share an address.
func TestMissesDoNotHoldUpALinkThatWorks(t *testing.T) {
	r := newReporter(t)
	for i := range mostMisses + 5 {
		r.Get(fmt.Sprintf("/r/bad-%d", i))
	}
	r.Get("/r/bad").Has(t, http.StatusTooManyRequests)
	r.other().Start()
	link, err := r.store.ReportLinkByHash(t.Context(), r.link.TokenHash)
	if err != nil || link.LastUsedAt == nil {
		t.Errorf("link %+v, %v", link, err)
	}
}

// TestLookingWritesNothing looks at links that work and links that do not: the
// record's log of writes does not grow.
func TestLookingWritesNothing(t *testing.T) {
	s := newSite(t)
	path := filepath.Join(t.TempDir(), "record.db")
	s.openAt(path)
	s.withNumbers()
	r := s.Reporter("K-001", quantity.Transtibial)
	size := func() int64 {
		info, err := os.Stat(path + "-wal")
		if err != nil {
			t.Fatal(err)
		}
		return info.Size()
	}
	before := size()
	for i := range 20 {
		r.Get(r.start()).Has(t, http.StatusOK, "Start")
		r.Get(fmt.Sprintf("/r/unknown-%d", i)).Has(t, http.StatusNotFound)
		r.Post("/r/unknown/start").Has(t, http.StatusNotFound)
	}
	if after := size(); after != before {
		t.Errorf("the log of writes grew from %d to %d bytes", before, after)
	}
	if r.Start(); size() == before {
		t.Error("a start is not seen in the log of writes")
	}
}
