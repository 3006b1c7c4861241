package server

import (
	"fmt"
	"log/slog"
	"net/http"
	"time"

	"fairlead/models"
	"fairlead/web"
	"github.com/alexedwards/argon2id"
	"github.com/alexedwards/scs/v2"
	"github.com/gin-gonic/gin"
)

// Deps is everything that the pages need; nothing is global.
type Deps struct {
	Store *models.Store
	Now   func() time.Time
	Log   *slog.Logger
	// Proxy is the address or network of the proxy whose word about a client's
	// address counts; empty when there is none.
	Proxy string
	// DemoSignIns are shown on the sign-in page of the demonstration.
	DemoSignIns []DemoSignIn
	// Password is the cost of hashing a password; nil stands for DefaultPassword.
	Password *argon2id.Params
}

// DefaultPassword is the cost of a password hash: 47,104 KiB and one pass, one
// of the equivalent choices of the OWASP password storage advice.
var DefaultPassword = argon2id.Params{Memory: 47104, Iterations: 1, Parallelism: 1, SaltLength: 16, KeyLength: 32}

// server holds what the handlers share.
type server struct {
	store       *models.Store
	now         func() time.Time
	log         *slog.Logger
	pages       *web.Renderer
	sessions    *scs.SessionManager
	password    argon2id.Params
	hashing     chan struct{} // bounds password hashes under way, so that sign-ins cannot exhaust memory
	documents   chan struct{} // bounds documents being read, likewise
	proxies     []string
	demoSignIns []DemoSignIn
	routes      []route
	misses      *misses
}

// New builds the whole program's HTTP handler. It fails when a page is
// incomplete or a route has no row in the access table, never later.
func New(d Deps) (http.Handler, error) {
	s, err := newServer(d)
	if err != nil {
		return nil, err
	}
	return s.handler()
}

func newServer(d Deps) (*server, error) {
	pages, err := web.NewRenderer()
	if err != nil {
		return nil, fmt.Errorf("pages: %w", err)
	}
	s := &server{
		store: d.Store, now: d.Now, log: d.Log, pages: pages,
		sessions: newSessions(d.Store), password: DefaultPassword, hashing: make(chan struct{}, 2),
		documents: make(chan struct{}, documentsAtOnce), misses: newMisses(),
		demoSignIns: d.DemoSignIns,
	}
	if d.Proxy != "" {
		s.proxies = []string{d.Proxy}
	}
	if d.Password != nil {
		s.password = *d.Password
	}
	s.routes = s.table()
	return s, checkTable(s.routes)
}

// handler wraps the routes, outermost first: headers on every answer, then the
// refusal of foreign origins, then the session, then gin.
func (s *server) handler() (http.Handler, error) {
	gin.SetMode(gin.ReleaseMode)
	engine := gin.New()
	engine.HandleMethodNotAllowed = true
	engine.RedirectTrailingSlash = false
	engine.MaxMultipartMemory = 1 << 20
	if err := engine.SetTrustedProxies(s.proxies); err != nil {
		return nil, fmt.Errorf("proxy: %w", err)
	}
	engine.Use(s.identify, s.recoverPanic, s.logRequest, s.limitBody, s.loadWorkshop, s.loadPerson)
	for _, r := range s.routes {
		engine.Handle(r.method, r.path, s.guard(r), s.handle(r.do))
	}
	engine.NoRoute(func(c *gin.Context) { s.fail(c, errNotFound) })
	engine.NoMethod(func(c *gin.Context) { s.fail(c, errMethod) })

	origin := http.NewCrossOriginProtection()
	origin.SetDenyHandler(s.failing(errForeign, s.loadWorkshop))
	s.sessions.ErrorFunc = func(w http.ResponseWriter, r *http.Request, err error) {
		s.failing(fmt.Errorf("session: %w", err)).ServeHTTP(w, r)
	}
	mux := http.NewServeMux()
	mux.Handle("GET /static/", web.Static())
	mux.Handle("/", s.sessions.LoadAndSave(engine))
	return secureHeaders(letOldPhonesIn(origin.Handler(mux))), nil
}

// failing answers every request with the page for an error, outside the routes.
func (s *server) failing(err error, before ...gin.HandlerFunc) http.Handler {
	engine := gin.New()
	engine.Use(s.identify)
	engine.Use(before...)
	engine.NoRoute(func(c *gin.Context) { s.fail(c, err) })
	return engine
}

// handle turns a handler that returns an error into one that answers with it.
func (s *server) handle(f func(*gin.Context) error) gin.HandlerFunc {
	return func(c *gin.Context) {
		if err := f(c); err != nil {
			s.fail(c, err)
		}
	}
}
