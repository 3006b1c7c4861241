package models_test

import (
	"context"
	"errors"
	"testing"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/models/modelstest"
)

var ctx = context.Background()

// must ends the test on an error of its preparation.
func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// wantErr checks the kind of an error.
func wantErr(t *testing.T, got, want error) {
	t.Helper()
	if !errors.Is(got, want) {
		t.Errorf("got error %v, want %v", got, want)
	}
}

// person records a fitter.
func person(t *testing.T, s *models.Store, signIn string) models.Person {
	t.Helper()
	p := models.Person{Name: "Fitter " + signIn, SignIn: signIn, IsFitter: true, LengthUnit: quantity.Centimetre}
	must(t, s.CreatePerson(ctx, &p))
	return p
}

// pointer returns the address of a copy of v.
func pointer[T any](v T) *T { return &v }

// at is a time so many hours after the clock of the stores.
func at(hours int) time.Time { return modelstest.Start.Add(time.Duration(hours) * time.Hour) }
