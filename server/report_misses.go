package server

import (
	"net/netip"
	"sync"
	"time"

	"github.com/gin-gonic/gin"
)

// Tries of links that don't work, from one address and from everywhere, in an
// hour. A token has 256 bits, so no number of tries finds one; slowing keeps the
// log from being filled.
const (
	missWindow        = time.Hour
	mostMisses        = 60
	missesToWarnOf    = 50
	mostMissAddresses = 4096 // that are remembered
)

// misses counts the tries of links that don't work. They are kept in memory: to
// look at a link writes nothing to the record, and what a restart forgets costs
// nothing.
type misses struct {
	mu     sync.Mutex
	all    missCount
	warned bool                 // in the hour of all
	from   map[string]missCount // by the hash of the address
}

// missCount counts those of an hour.
type missCount struct {
	since time.Time
	n     int
}

// plus is the count with one more, which begins a new hour when the last is over.
func (m missCount) plus(now time.Time) missCount {
	if now.Sub(m.since) >= missWindow {
		m = missCount{since: now}
	}
	m.n++
	return m
}

func newMisses() *misses { return &misses{from: map[string]missCount{}} }

// add counts one more from an address: how many there were from everywhere in
// this hour, and whether the address has had its tries of an hour.
func (m *misses) add(address string, now time.Time) (total int, slow bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.all = m.all.plus(now); m.all.n == 1 {
		m.warned = false
	}
	if _, known := m.from[address]; !known && len(m.from) >= mostMissAddresses {
		m.forget(now)
	}
	count := m.from[address].plus(now)
	m.from[address] = count
	return m.all.n, count.n > mostMisses
}

// forget makes room for another address: those whose hour is over go, and where
// none is, the one with the fewest tries.
func (m *misses) forget(now time.Time) {
	var least string
	for address, count := range m.from {
		if now.Sub(count.since) >= missWindow {
			delete(m.from, address)
		} else if fewest, any := m.from[least]; !any || count.n < fewest.n {
			least = address
		}
	}
	if len(m.from) >= mostMissAddresses {
		delete(m.from, least)
	}
}

// toWarn tells once an hour that there are many.
func (m *misses) toWarn() bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.warned || m.all.n <= missesToWarnOf {
		return false
	}
	m.warned = true
	return true
}

// missed counts the try of a link that doesn't work, warns once an hour when
// there are many, and gives the end for it. A link that works is never held up.
func (s *server) missed(c *gin.Context) error {
	total, slow := s.misses.add(reportAddress(c), s.now())
	if s.misses.toWarn() {
		s.log.Warn("many links for reports that don't work were tried", "request", requestID(c), "in-an-hour", total)
	}
	if slow {
		return endSlow
	}
	return endDead
}

// reportAddress is the hash of where a request comes from.
func reportAddress(c *gin.Context) string { return hashKey("report", networkOf(c.ClientIP())) }

// networkOf is what counts as one place that requests come from: an IPv4 address,
// or the /64 of an IPv6 address, all of which one household is given (RFC 6177).
// What is no address counts as it is.
func networkOf(address string) string {
	ip, err := netip.ParseAddr(address)
	if err != nil {
		return address
	}
	if ip = ip.Unmap().WithZone(""); ip.Is4() {
		return ip.String()
	}
	return netip.PrefixFrom(ip, 64).Masked().String()
}
