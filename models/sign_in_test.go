package models_test

import (
	"sync"
	"testing"
	"time"

	"fairlead/models"
	"fairlead/models/modelstest"
)

// slowed waits a minute after the third failure and later ones.
func slowed(key string) models.SignInKey {
	return models.SignInKey{Key: key, Wait: func(failures int) time.Duration {
		if failures < 3 {
			return 0
		}
		return time.Minute
	}}
}

// begin begins a sign-in that counts failures of all times.
func begin(t *testing.T, s *models.Store, keys ...models.SignInKey) (models.SignInAttempt, time.Duration) {
	t.Helper()
	a, wait, err := s.BeginSignIn(ctx, time.Time{}, keys)
	must(t, err)
	return a, wait
}

func TestSignInsWait(t *testing.T) {
	now := at(0)
	s := modelstest.SQLiteAt(t, func() time.Time { return now })
	for range 3 {
		if _, wait := begin(t, s, slowed("ada"), slowed("here")); wait != 0 {
			t.Fatalf("an early attempt waits %v", wait)
		}
	}
	now = now.Add(20 * time.Second)
	for range 3 { // refused attempts don't make the wait longer
		if _, wait := begin(t, s, slowed("ada")); wait != 40*time.Second {
			t.Errorf("after 20 s the wait is %v, want 40 s", wait)
		}
	}
	if _, wait := begin(t, s, slowed("zoe"), slowed("here")); wait != 40*time.Second {
		t.Errorf("another name at the same address waits %v, want 40 s", wait)
	}
	if _, wait := begin(t, s, slowed("zoe"), slowed("there")); wait != 0 {
		t.Errorf("another name elsewhere waits %v", wait)
	}
	if _, wait, err := s.BeginSignIn(ctx, now, []models.SignInKey{slowed("ada")}); err != nil || wait != 0 {
		t.Errorf("failures of before the time asked for count: wait %v, %v", wait, err)
	}
}

func TestSignInThatSucceedsIsNotCounted(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		begin(t, s, slowed("ada"), slowed("here"))
		begin(t, s, slowed("zoe"), slowed("here"))
		a, _ := begin(t, s, slowed("ada"), slowed("here"))
		must(t, s.SignInSucceeded(ctx, a, "ada"))
		for range 3 { // all of ada's failures are forgotten
			if _, wait := begin(t, s, slowed("ada")); wait != 0 {
				t.Errorf("after a success the wait is %v", wait)
			}
		}
		if _, wait := begin(t, s, slowed("here")); wait != 0 { // two are left
			t.Errorf("the success counts for the address: wait %v", wait)
		}
		if _, wait := begin(t, s, slowed("here")); wait == 0 {
			t.Error("the success took others' failures at the address back")
		}
	})
}

func TestSignInsAtOnceAreCounted(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		const attempts = 40
		waits := make(chan time.Duration, attempts)
		var wg sync.WaitGroup
		for range attempts {
			wg.Go(func() {
				_, wait, err := s.BeginSignIn(ctx, at(-1), []models.SignInKey{slowed("ada"), slowed("here")})
				if err != nil {
					t.Error(err)
				}
				waits <- wait
			})
		}
		wg.Wait()
		close(waits)
		through := 0
		for wait := range waits {
			if wait == 0 {
				through++
			}
		}
		if through != 3 {
			t.Errorf("%d of %d attempts at once came through, want 3", through, attempts)
		}
	})
}
