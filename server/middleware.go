package server

import (
	"fmt"
	"net/http"
	"runtime/debug"
	"strings"
	"time"

	"fairlead/models"
	"github.com/gin-gonic/gin"
)

// maxBody bounds a form. It is far above what a form can hold, so that a text
// that is too long for its field comes back with the field's own message and
// everything that was typed.
const maxBody = 8 << 20

// maxAnswer bounds the form of an answer: a document of the largest size, and
// what is typed beside it.
const maxAnswer = mostDocument + 1<<20

// answerRoute is where that form goes.
const answerRoute = "/clients/:client/handovers/:handover/answer"

// contentPolicy lets a page load its own scripts, styles, fonts and images and
// nothing else.
const contentPolicy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; " +
	"connect-src 'self'; font-src 'self'; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"

// secureHeaders sets the headers that every answer carries, errors and assets
// among them.
func secureHeaders(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", contentPolicy)
		h.Set("Strict-Transport-Security", "max-age=31536000; includeSubDomains")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(), geolocation=(), microphone=()")
		next.ServeHTTP(w, r)
	})
}

// letOldPhonesIn lets a client's phone use the form by link although its browser
// can't say that a request comes from our own page: browsers older than 2023
// send no Sec-Fetch-Site, and their Origin is "null" since our pages are not to be
// named to others.
//
// A form of another site that hides its origin, in a sandboxed frame, gets in by it
// as well, in such a browser. It gains nothing: all of /report/ needs the report's
// cookie, which is SameSite=Strict and comes from our own pages only; and a start
// needs the token of a link, so that it can start only a form of a link that its
// author holds, of which they read nothing. Whoever was typing in that browser goes
// on typing at their own form.
func letOldPhonesIn(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		starts := strings.HasPrefix(r.URL.Path, "/r/") && strings.HasSuffix(r.URL.Path, "/start")
		if (starts || strings.HasPrefix(r.URL.Path, "/report/")) && r.Header.Get("Sec-Fetch-Site") == "" && r.Header.Get("Origin") == "null" {
			r.Header.Del("Origin")
		}
		next.ServeHTTP(w, r)
	})
}

const requestKey = "request-id"

// identify gives a request an id that joins an error page with the log.
func (s *server) identify(c *gin.Context) { c.Set(requestKey, models.NewID()) }

func requestID(c *gin.Context) string { return c.GetString(requestKey) }

// recoverPanic turns a panic into the page for an internal error.
func (s *server) recoverPanic(c *gin.Context) {
	defer func() {
		if p := recover(); p != nil {
			s.log.Error("panic", "request", requestID(c), "route", c.FullPath(), "stack", string(debug.Stack()))
			s.fail(c, fmt.Errorf("panic: %v", p))
		}
	}()
	c.Next()
}

// logRequest writes one line per request. It names the route's pattern, never
// the path or query: ids, link tokens and names stay out of the log.
func (s *server) logRequest(c *gin.Context) {
	start := s.now()
	c.Next()
	s.log.Info("request", "request", requestID(c), "method", c.Request.Method, "route", c.FullPath(),
		"status", c.Writer.Status(), "ms", s.now().Sub(start).Round(time.Millisecond/10).Seconds()*1000,
		"bytes", c.Writer.Size(), "person", personID(c))
}

// personID is the id of who is signed in, or "".
func personID(c *gin.Context) string {
	if p := signedIn(c); p != nil {
		return p.ID
	}
	return ""
}

// limitBody bounds what is read of a request while it is read. The one form that
// takes a document has room for it.
func (s *server) limitBody(c *gin.Context) {
	most := int64(maxBody)
	if c.Request.Method == http.MethodPost && c.FullPath() == answerRoute {
		most = maxAnswer
	}
	c.Request.Body = http.MaxBytesReader(c.Writer, c.Request.Body, most)
}

// guard answers a request whose person may not do the route's action: nobody
// signed in goes to the sign-in page and comes back, somebody else is refused.
func (s *server) guard(r route) gin.HandlerFunc {
	return func(c *gin.Context) {
		who := signedIn(c)
		if allowed(r.action, who) {
			if who != nil {
				c.Header("Cache-Control", "no-store")
			}
			if err := s.checkZone(c, r.action); err != nil {
				s.fail(c, err)
			}
			return
		}
		if who == nil && c.Request.Method == http.MethodGet {
			c.Redirect(http.StatusSeeOther, "/sign-in?next="+nextFor(c))
			c.Abort()
			return
		}
		if who == nil {
			s.fail(c, &oops{status: http.StatusUnauthorized, text: "error.signed-out"})
			return
		}
		s.fail(c, errForbidden)
	}
}
