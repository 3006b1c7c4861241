package server

import (
	"crypto/sha256"
	"encoding/hex"
	"strconv"
	"strings"
	"time"

	"fairlead/models"
	"github.com/gin-gonic/gin"
)

// slowKey counts passwords that were wrong; after free of them each further one
// costs a wait that doubles, up to longest.
type slowKey struct {
	key     string
	free    int
	longest time.Duration
}

// slowKeys slows guessing per account and address together, per address, and,
// far later, per account, so that nobody can lock a person out from elsewhere
// but a guess from a thousand addresses is slowed too. A whole workshop may
// share one address, so that one is slowed late and never for long. A network of
// IPv6 counts as one address. Only hashes are kept.
func slowKeys(name, address string) []slowKey {
	address = networkOf(address)
	return []slowKey{
		{hashKey("account-address", name, address), 5, 15 * time.Minute},
		{hashKey("address", address), 60, time.Minute},
		{hashKey("account", name), 100, 15 * time.Minute},
	}
}

func hashKey(parts ...string) string {
	sum := sha256.Sum256([]byte(strings.Join(parts, "\x00")))
	return hex.EncodeToString(sum[:])
}

// slowWindow is how long a wrong password counts.
const slowWindow = 30 * time.Minute

// wait is how long the next password has to wait after so many wrong ones.
func (k slowKey) wait(failures int) time.Duration {
	if failures < k.free {
		return 0
	}
	return slowness(failures-k.free, k.longest)
}

// slowness is the wait after n failures too many: 4 s, 8 s, 16 s … longest.
func slowness(n int, longest time.Duration) time.Duration {
	return min(4*time.Second<<min(n, 10), longest)
}

// tried is what came of a password.
type tried struct {
	person models.Person
	right  bool
	wait   time.Duration // the password was not looked at; another may come after so long
}

// tryPassword checks a password under the sign-in name, unless too many were
// wrong. The attempt counts before it is checked, so that guesses sent at the
// same moment are slowed as well, and is taken back when it was right.
func (s *server) tryPassword(c *gin.Context, name, password string) (tried, error) {
	ctx := c.Request.Context()
	slow := slowKeys(name, c.ClientIP())
	keys := make([]models.SignInKey, len(slow))
	for i, k := range slow {
		keys[i] = models.SignInKey{Key: k.key, Wait: k.wait}
	}
	attempt, wait, err := s.store.BeginSignIn(ctx, s.now().Add(-slowWindow), keys)
	if err != nil || wait > 0 {
		return tried{wait: wait}, err
	}
	p, right, err := s.checkPassword(c, name, password)
	if err != nil || !right {
		return tried{}, err
	}
	return tried{person: p, right: true}, s.store.SignInSucceeded(ctx, attempt, slow[0].key)
}

// tooSoon says how long to wait, in words and to programs.
func (s *server) tooSoon(c *gin.Context, wait time.Duration) string {
	seconds := int(wait.Seconds()) + 1
	c.Header("Retry-After", strconv.Itoa(seconds))
	return s.text(c, "signin.slowed", "Count", seconds)
}

// logRefused logs a password that was wrong or came too soon: where from, and
// of the account only the hash under which its failures are counted.
func (s *server) logRefused(c *gin.Context, what, name string) {
	s.log.Warn(what, "request", requestID(c), "address", c.ClientIP(), "account", hashKey("account", name))
}
