package server

import (
	_ "embed"
	"regexp"
	"strings"
	"unicode/utf8"

	"fairlead/server/form"
	"github.com/alexedwards/argon2id"
)

// commonPasswords are passwords that guessing programs try first, one a line,
// in lower case.
//
//go:embed common_passwords.txt
var commonPasswords string

// HashPassword returns the argon2id hash of a password at DefaultPassword's
// cost, in the form in which it is kept.
func HashPassword(password string) (string, error) {
	return argon2id.CreateHash(password, &DefaultPassword)
}

const (
	shortestPassword = 12
	longestPassword  = 256
)

// The texts that name the fields about a person, and those in which a password
// is chosen.
var (
	personLabels = map[string]string{
		"name": "person.name", "sign_in": "person.sign-in", "is_fitter": "person.roles", "is_owner": "person.roles",
		"away_until": "absence.until",
	}
	passwordLabels = map[string]string{
		"name": "person.name", "sign_in": "person.sign-in", "present_password": "preferences.present-password",
		"password": "password.new", "again": "password.again", "workshop": "password.workshop", "zone": "setup.zone",
	}
)

// checkNewPassword asks for length, not for kinds of characters, and refuses
// what is guessed first: well-known passwords, the person's own sign-in name,
// the workshop's name and this program's.
func checkNewPassword(r *form.Reader, password, again, signIn, workshop string) {
	length := utf8.RuneCountInString(password)
	switch {
	case length < shortestPassword:
		r.Add("password", "password.short", map[string]any{"Min": shortestPassword})
	case length > longestPassword:
		r.Add("password", "password.long", map[string]any{"Max": longestPassword})
	case guessable(password, signIn, workshop):
		r.Add("password", "password.common", nil)
	case password != again:
		r.Add("again", "password.differ", nil)
	}
}

// guessable tells whether a password is a well-known one, or little more than a
// word that belongs to the place.
func guessable(password, signIn, workshop string) bool {
	p := strings.ToLower(password)
	for _, known := range strings.Fields(commonPasswords) {
		if p == known {
			return true
		}
	}
	for _, word := range []string{signIn, workshop, "fairlead"} {
		word = strings.ToLower(word)
		if len(word) >= 3 && strings.Contains(p, word) && len(p) < len(word)+8 {
			return true
		}
	}
	return strings.Count(p, p[:1]) == len(p)
}

var signInPattern = regexp.MustCompile(`^[a-z0-9][a-z0-9._-]{1,38}[a-z0-9]$`)

// signInName reads the name that a person signs in with.
func signInName(r *form.Reader, field string) string {
	name := strings.ToLower(r.RequiredText(field, 40))
	if name != "" && !signInPattern.MatchString(name) {
		r.Add(field, "problem.sign-in-name", nil)
	}
	return name
}
