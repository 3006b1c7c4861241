package models_test

import (
	"context"
	"errors"
	"fmt"
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

// numbered names the i-th of many.
func numbered(what string, i int) string { return fmt.Sprintf("%s-%03d", what, i) }

// length is a recorded length that may be missing.
func length(mm float64) *quantity.Length { return pointer(quantity.FromMM(mm)) }

// workbench is one client with all that a check-in needs.
type workbench struct {
	fitter     models.Person
	client     models.Client
	limb       models.Limb
	plan       models.MeasuringPlan
	prosthesis models.Prosthesis
	cover      models.Cover
}

// bench records a workbench whose client has the code.
func bench(t *testing.T, s *models.Store, code string) workbench {
	t.Helper()
	b := workbench{fitter: person(t, s, "fitter of "+code)}
	b.client = client(t, s, code, "Client "+code)
	b.limb = limb(t, s, b.client.ID)
	b.plan = models.MeasuringPlan{
		LimbID: b.limb.ID, Landmark: "mid-patellar tendon", Levels: []quantity.Length{0, 300, 600}, Passes: 2,
		CapKind: quantity.NoCap, MadeBy: b.fitter.ID,
	}
	must(t, s.AddPlan(ctx, &b.plan))
	b.prosthesis = models.Prosthesis{LimbID: b.limb.ID, SocketType: "total surface", LinerThickness: length(3), Shoe: "boot"}
	must(t, s.SaveProsthesis(ctx, &b.prosthesis))
	b.cover = models.Cover{
		LimbID: b.limb.ID, Material: "polyamide", Wall: length(2.5), State: models.InUse, DeliveredOn: "2026-01-10",
		Attachments: []models.Attachment{{Name: "upper strap", State: models.Firm}, {Name: "lower clip", State: models.Firm, Ordinal: 1}},
		Stations: []models.Station{
			station(60, quantity.Anterior, 0), station(60, quantity.Posterior, 1), station(120, quantity.Medial, 2),
		},
	}
	must(t, s.CreateCover(ctx, &b.cover))
	return b
}

// client records a client.
func client(t *testing.T, s *models.Store, code, name string) models.Client {
	t.Helper()
	c := models.Client{Code: code, Name: name, ConsentRecord: true}
	must(t, s.CreateClient(ctx, &c))
	return c
}

// limb records a left transtibial limb.
func limb(t *testing.T, s *models.Store, clientID string) models.Limb {
	t.Helper()
	l := models.Limb{
		ClientID: clientID, Side: quantity.Left, Level: quantity.Transtibial, Origin: models.Amputation,
		AmputatedOn: "2025-03-01", LengthMM10: length(140), OtherSideSound: true,
	}
	must(t, s.CreateLimb(ctx, &l))
	return l
}

// station is a place of the walk that has not been stored.
func station(levelMM float64, d quantity.Direction, ordinal int) models.Station {
	return models.Station{
		Level: quantity.FromMM(levelMM), Direction: d, Posture: quantity.Standing, Neighbour: quantity.SocketWall,
		EveryTime: true, Ordinal: ordinal,
	}
}

// visit is a check-in of the workbench, with one of everything in it, that has
// not been stored.
func (b workbench) visit(measuredAt time.Time) models.Checkin {
	l := models.CheckinLimb{
		LimbID: b.limb.ID, PlanID: &b.plan.ID, CoverID: &b.cover.ID, ProsthesisID: &b.prosthesis.ID,
		DoffedAt: pointer(measuredAt.Add(-10 * time.Minute)), MinutesOff: pointer(12.5), LengthMM10: length(139.5),
		LinerType: "silicone", LinerThickness: length(3), SoundNotDone: models.NoTime,
		Socks: []models.Sock{{Occasion: models.SocksNow, Ply: 3, Material: "blended", Worn: true}},
		Clearances: []models.ClearanceReading{
			{StationID: b.cover.Stations[0].ID, Posture: quantity.Standing, Method: quantity.Feeler, Gap: length(2.4)},
			{StationID: b.cover.Stations[1].ID, Posture: quantity.Standing, Method: quantity.WitnessMark, Touch: quantity.PolishMark},
		},
		Functions:   []models.FunctionCheck{{Check: "no-crack", Answer: models.Yes}},
		Skin:        []models.SkinFinding{{Moment: models.OnDoffing, Place: "shin", Sign: "rub-mark", Note: "new"}},
		Attachments: []models.AttachmentSeen{{AttachmentID: b.cover.Attachments[0].ID, State: models.Loose}},
	}
	for _, level := range b.plan.Levels {
		for pass := 1; pass <= 2; pass++ {
			l.Readings = append(l.Readings, models.Reading{
				Part: quantity.Residual, Level: level, Pass: pass, Girth: 3000 + level + quantity.Length(pass),
			})
		}
	}
	return models.Checkin{
		ClientID: b.client.ID, Kind: models.FollowUp, MeasuredAt: measuredAt, Zone: "Europe/Berlin",
		MeasuredBy: b.fitter.ID, EnteredBy: b.fitter.ID, Room: "usual", HoursWorn: pointer(6.5), WeightG: pointer(72500),
		Fluid: []string{"diabetes"}, ComfortAverage: pointer(7), Looseness: pointer(-2), Talk: "rubs <b>here</b>",
		NextOn: "2026-06-01", Limbs: []models.CheckinLimb{l},
	}
}

// record stores a visit of the workbench.
func (b workbench) record(t *testing.T, s *models.Store, measuredAt time.Time) models.Checkin {
	t.Helper()
	c := b.visit(measuredAt)
	must(t, s.CreateCheckin(ctx, &c))
	return c
}
