package server

import (
	"bytes"
	"fmt"
	"mime/multipart"
	"net/http"
	"regexp"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
)

// studyBench is a site with one person of each role.
type studyBench struct {
	*site
	kit, wren, owner *browser
}

func newStudyBench(t *testing.T) studyBench {
	s := newSite(t)
	return studyBench{s, s.As("kit", models.Fitter), s.As("wren", models.Prosthetist), s.As("olga", models.Owner)}
}

// invented is a whole study of so many limbs by Kit and Wren, not in use.
func (b studyBench) invented(t *testing.T, limbs int) models.Study {
	t.Helper()
	study := models.Study{
		Kind: models.FittersStudy, Name: "Spring", HeldOn: "2026-01-05", Passes: 2, Rounds: 2, Measurers: []string{"Kit", "Wren"}, MadeBy: "Kit",
	}
	for l := range limbs {
		study.Subjects = append(study.Subjects, fmt.Sprint("limb ", l+1))
		for f, fitter := range study.Measurers {
			for round := range 2 {
				sheet := models.StudySheet{Subject: study.Subjects[l], Measurer: fitter, Round: round + 1}
				for i, mm := range []int{320, 335, 330, 310, 285, 250} {
					for pass := range 2 {
						wobble := (l*7+f*5+round*3+i*2+pass*11)%5 - 2
						sheet.Readings = append(sheet.Readings, models.StudyReading{
							Level: quantity.Length(300 * i), Pass: pass + 1, Girth: quantity.Length(10*(mm+4*l+wobble) + 10*f),
						})
					}
				}
				study.Sheets = append(study.Sheets, sheet)
			}
		}
	}
	if err := b.store.CreateStudy(t.Context(), &study); err != nil {
		t.Fatal(err)
	}
	return study
}

var sheetLinks = regexp.MustCompile(`/studies/[0-9a-f-]+/sheets/[0-9a-f-]+/1`)

// TestStudyFromBeginningToUse begins a study, types it page by page, and takes it
// into use.
func TestStudyFromBeginningToUse(t *testing.T) {
	b := newStudyBench(t)
	b.kit.Get("/studies").Has(t, http.StatusOK, "defaults (common practice)", "No study yet", "10.7", "New study")
	b.kit.Get("/studies/new").Has(t, http.StatusOK, "Never the name of a client", "limb 10", "Kit")
	form := []string{
		"id", models.NewID(), "kind", "fitters", "name", "Two limbs", "held_on", "2026-01-05", "levels", "0; 10", "passes", "2", "rounds", "1",
		"subjects", "limb 1\nlimb 2", "others", "Ann\nBo",
	}
	bad := append([]string{}, form...)
	bad[15], bad[9] = "limb 1\nlimb 1", "tomorrow"
	b.kit.Post("/studies", bad...).Has(t, http.StatusUnprocessableEntity, "limb 1 is there twice", "Ann\nBo")
	made := b.kit.Post("/studies", form...)
	made.Has(t, http.StatusSeeOther)
	if again := b.kit.Post("/studies", form...); again.Location != made.Location {
		t.Errorf("sent twice it leads to %s, not to %s", again.Location, made.Location)
	}
	page := b.kit.Get(made.Location)
	page.Has(t, http.StatusOK, "0 of 4 pages have readings", "Nothing has been entered yet", "Ann, round 1")
	links := sheetLinks.FindAllString(page.Body, -1)
	if len(links) != 4 {
		t.Fatalf("%d pages, want 4", len(links))
	}
	for i, link := range links {
		girth := func(pass, level int) string { return fmt.Sprintf("%.1f", 32+float64(i)/10+float64(pass*level%3)/10) }
		b.kit.Get(link).Has(t, http.StatusOK, "first pass", `name="g.0.1"`, `name="g.1000.1"`)
		b.kit.Post(link, "version", "1", "g.0.1", "334", "g.1000.1", "32.1").Has(t, http.StatusUnprocessableEntity, "334", `value="32.1"`)
		b.kit.Post(link, "version", "1", "g.0.1", girth(1, 1), "g.1000.1", girth(1, 2)).Has(t, http.StatusSeeOther)
		second := strings.TrimSuffix(link, "1") + "2"
		shown := b.kit.Get(second)
		shown.Has(t, http.StatusOK, "second pass")
		if strings.Contains(shown.Body, girth(1, 1)) {
			t.Errorf("the second pass shows what the first read")
		}
		b.kit.Post(second, "version", "1", "g.0.2", girth(2, 1), "g.1000.2", girth(2, 2)).Has(t, http.StatusConflict, "Somebody else saved this page", `name="version" value="2"`)
		b.kit.Post(second, "version", "2", "g.0.2", girth(2, 1), "g.1000.2", girth(2, 2)).Has(t, http.StatusSeeOther)
		b.kit.Post(second, "version", "2", "g.0.2", girth(2, 1), "g.1000.2", girth(2, 2)).Has(t, http.StatusSeeOther) // sent twice
	}
	page = b.kit.Get(made.Location)
	page.Has(t, http.StatusOK, "4 of 4 pages have readings", "middle one of 2", "Repeats by Ann", "ICC(2,1)", "Agreement", "2 limbs: 10 or more are advised, 20 preferred", "An owner or a prosthetist takes a study into use")
	shown := b.wren.Get(made.Location)
	shown.Has(t, http.StatusOK, "Take it into use")
	version := regexp.MustCompile(`name="version" value="(\d+)"`).FindStringSubmatch(shown.Body)[1]
	take := made.Location + "/take"
	b.kit.Post(take, "version", version, "note", "two limbs").Has(t, http.StatusForbidden)
	b.wren.Post(take, "version", version).Has(t, http.StatusUnprocessableEntity, "Why it can be trusted")
	b.wren.Post(take, "version", "1", "note", "two limbs").Has(t, http.StatusUnprocessableEntity, "look again")
	b.wren.Post(take, "version", version, "note", "two limbs").Has(t, http.StatusSeeOther)
	b.wren.Post(take, "version", version, "note", "two limbs").Has(t, http.StatusSeeOther) // sent twice
	b.owner.Get(made.Location).Has(t, http.StatusOK, "In use since", "by Wren", "two limbs", "Withdraw it from use")
	b.kit.Get("/studies").Has(t, http.StatusOK, "own study of 5 January 2026, 2 limbs by 2 fitters, taken into use by Wren")
	b.kit.Post(links[0], "version", "2", "g.0.1", "31").Has(t, http.StatusConflict, "stay as they are")
	b.kit.Get(links[0]).Has(t, http.StatusConflict)
	b.owner.Post(made.Location+"/withdraw").Has(t, http.StatusUnprocessableEntity, "Why")
	b.owner.Post(made.Location+"/withdraw", "reason", "Bo was new").Has(t, http.StatusSeeOther)
	b.kit.Get(made.Location).Has(t, http.StatusOK, "Withdrawn from use on", "Bo was new")
	b.kit.Get("/studies").Has(t, http.StatusOK, "defaults (common practice)")
}

// TestSheetIsKeptAsItGrows answers the script of the page.
func TestSheetIsKeptAsItGrows(t *testing.T) {
	b := newStudyBench(t)
	study := b.invented(t, 2)
	path := sheetPath(study.Sheets[0], 1)
	kept := b.kit.Post(path+"/fields", "version", "1", "g.0.1", "31.2", "g.300.1", "9 1")
	kept.Has(t, http.StatusOK, `"version":2`, "one girth that can")
	now, err := b.store.StudyByID(t.Context(), study.ID)
	if err != nil {
		t.Fatal(err)
	}
	if n := len(now.Sheets[0].Readings); n != 7 || now.Sheets[0].Readings[0].Girth != 3120 {
		t.Errorf("%d readings, %+v; want the six of the other pass and the one that can be read", n, now.Sheets[0].Readings)
	}
	b.kit.Post(path+"/fields", "version", "1", "g.0.1", "31.3").Has(t, http.StatusConflict, `"version":2`)
}

func TestStudyResultSaysWhatIsNotDefined(t *testing.T) {
	b := newStudyBench(t)
	one := b.invented(t, 1)
	b.wren.Get(studyPath(one.ID)).Has(t, http.StatusOK, "a single limb", "it needs two limbs or more", "Not defined")
	constant := b.invented(t, 3)
	study := models.Study{Kind: models.FittersStudy, Name: "Copied", HeldOn: "2026-01-06", Passes: 2, Rounds: 1, Measurers: []string{"Kit"}, Subjects: constant.Subjects, MadeBy: "Kit"}
	for _, subject := range study.Subjects {
		sheet := models.StudySheet{Subject: subject, Measurer: "Kit", Round: 1}
		for i := range 8 {
			sheet.Readings = append(sheet.Readings, models.StudyReading{Level: quantity.Length(300 * (i / 2)), Pass: i%2 + 1, Girth: 3000})
		}
		study.Sheets = append(study.Sheets, sheet)
	}
	if err := b.store.CreateStudy(t.Context(), &study); err != nil {
		t.Fatal(err)
	}
	b.wren.Get(studyPath(study.ID)).Has(t, http.StatusOK, "all repeated readings are equal", "only one fitter", "No limb was marked afresh")
	b.wren.Post(studyPath(study.ID)+"/take", "version", "1", "note", "x").Has(t, http.StatusUnprocessableEntity, "all repeated readings are equal")
	if strings.Contains(b.log.String(), "level=ERROR") {
		t.Error(b.log.String())
	}
}

func TestTapeAgainstScan(t *testing.T) {
	b := newStudyBench(t)
	b.kit.Get("/studies/new?kind=scan").Has(t, http.StatusOK, "tape against scan", "by tape and by scan")
	made := b.kit.Post("/studies", "kind", "scan", "name", "Scanner", "held_on", "2026-01-05", "rounds", "2", "subjects", "a\nb\nc")
	made.Has(t, http.StatusSeeOther)
	path := made.Location + "/volumes"
	b.kit.Get(path).Has(t, http.StatusOK, `name="v.0.0.1"`, `name="v.2.1.2"`, "a, scan 2")
	b.kit.Post(path, "version", "1", "v.0.0.1", "lots").Has(t, http.StatusUnprocessableEntity, "a, tape 1", "lots")
	form := []string{"version", "1"}
	for i := range 3 {
		for j := range 2 {
			for trial := 1; trial <= 2; trial++ {
				form = append(form, volumeFieldName(i, j, trial), fmt.Sprint(1000+100*i+20*j+3*trial+i*j))
			}
		}
	}
	b.kit.Post(path, form...).Has(t, http.StatusSeeOther)
	b.kit.Post(path, form...).Has(t, http.StatusConflict, "Somebody else saved")
	b.wren.Get(made.Location).Has(t, http.StatusOK, "scan measures", "more than tape", "Nothing is computed from scans")
	b.wren.Post(made.Location+"/take", "version", "2", "note", "x").Has(t, http.StatusUnprocessableEntity)
	b.kit.Get(made.Location+"/readings.csv").Has(t, http.StatusOK, "subject,method,trial,value", "a,scan,1,1023")
	b.kit.Get(made.Location+"/agreement.csv").Has(t, http.StatusOK, "scan,tape,a,")
}

const importedGirths = "subject,fitter,day,level_mm,pass,girth_mm\n" +
	"a,Kit,1,0,1,320\na,Kit,1,0,2,321\na,Kit,1,30,1,310\na,Kit,1,30,2,312\n" +
	"a,Wren,1,0,1,322\na,Wren,1,0,2,321\na,Wren,1,30,1,311\na,Wren,1,30,2,314\n"

// TestImportShowsBeforeItKeeps reads text and a file, keeps nothing of what is
// wrong, and keeps what was shown.
func TestImportShowsBeforeItKeeps(t *testing.T) {
	b := newStudyBench(t)
	b.kit.Get("/studies/import").Has(t, http.StatusOK, "subject,fitter,day,level_mm,pass,girth_mm")
	about := []string{"id", models.NewID(), "name", "Old study", "held_on", "2026-01-05"}
	with := func(more ...string) []string { return append(append([]string{}, about...), more...) }
	for name, c := range map[string]struct{ content, want string }{
		"nothing":         {" ", "Choose a file or paste the text"},
		"two bad lines":   {importedGirths + "a,Kit,2,0,1,thirty\na,Kit,2,30,1,\n", "Line 11"},
		"a bad line":      {importedGirths + "a,Kit,2,0,1,thirty\n", "Line 10"},
		"no heading":      {"a,b\n1,2\n", "Line 1"},
		"many passes":     {"subject,level_mm,pass,girth_mm\na,0,12,320\n", "passes up to 12"},
		"no volume":       {"subject,method,trial,value\na,tape,1,-3\n", "the volume -3 is not between"},
		"no method":       {"subject,trial,value\na,1,1100\n", "by which method"},
		"name of a novel": {"subject,method,trial,value\n" + strings.Repeat("a", 50) + ",tape,1,1100\n", "longer than 40"},
	} {
		a := b.kit.Post("/studies/import", with("content", c.content)...)
		a.Has(t, http.StatusUnprocessableEntity, c.want)
		if strings.Contains(a.Body, "Keep it as a study") {
			t.Errorf("%s: it can be kept", name)
		}
	}
	b.kit.Post("/studies/import", with("content", importedGirths)...).Has(t, http.StatusOK, "8 girths", "one limb, 2 fitters", "Nothing is kept yet", "a: 8 readings")
	studies, err := b.store.Studies(t.Context())
	if err != nil || len(studies) != 0 {
		t.Errorf("%d studies, %v; want none before it is taken", len(studies), err)
	}
	made := b.kit.Post("/studies/import", with("content", importedGirths, "take", "yes")...)
	made.Has(t, http.StatusSeeOther)
	b.kit.Post("/studies/import", with("content", importedGirths, "take", "yes")...).Has(t, http.StatusSeeOther) // sent twice
	b.kit.Get(made.Location).Has(t, http.StatusOK, "2 of 2 pages have readings", "a single limb")
	b.kit.Get(made.Location+"/readings.csv").Has(t, http.StatusOK, "a,Kit,1,0,1,320", "a,Wren,1,30,2,314")
	if studies, err = b.store.Studies(t.Context()); err != nil || len(studies) != 1 {
		t.Errorf("%d studies, %v; want one", len(studies), err)
	}
}

func TestImportOfAFile(t *testing.T) {
	b := newStudyBench(t)
	send := func(content string) answer {
		var body bytes.Buffer
		w := multipart.NewWriter(&body)
		for _, pair := range [][2]string{{"name", "A file"}, {"held_on", "2026-01-05"}, {"content", ""}} {
			if err := w.WriteField(pair[0], pair[1]); err != nil {
				t.Fatal(err)
			}
		}
		part, err := w.CreateFormFile("file", "study.csv")
		if err != nil {
			t.Fatal(err)
		}
		if _, err := part.Write([]byte(content)); err != nil {
			t.Fatal(err)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		return b.kit.do(b.kit.multipartPost("/studies/import", w.FormDataContentType(), &body))
	}
	send("\ufeff"+importedGirths).Has(t, http.StatusOK, "8 girths", "a,Wren,1,30,2,314")
	send(importedGirths+"a,Kit,9,0,1,x\n").Has(t, http.StatusUnprocessableEntity, "Line 10", "a,Kit,9,0,1,x")
	send("\x00\x01PNG").Has(t, http.StatusUnprocessableEntity, "be read as a table of text")
	send(strings.Repeat("x", mostImportKB<<10+1)).Has(t, http.StatusUnprocessableEntity, "Split it")
}

// TestStudyPagesAreOpenToNobodyElse: what is nested belongs to its study.
func TestStudyPagesBelongToTheirStudy(t *testing.T) {
	b := newStudyBench(t)
	one, other := b.invented(t, 2), b.invented(t, 2)
	own := sheetPath(one.Sheets[0], 1)
	foreign := strings.Replace(own, one.ID, other.ID, 1)
	b.kit.Get(foreign).Has(t, http.StatusNotFound)
	b.kit.Post(foreign, "version", "1", "g.0.1", "31").Has(t, http.StatusNotFound)
	b.kit.Get(strings.TrimSuffix(own, "1")+"3").Has(t, http.StatusNotFound)
	b.kit.Get(studyPath(one.ID)+"/volumes").Has(t, http.StatusNotFound)
	b.owner.Get(own).Has(t, http.StatusForbidden)
	b.owner.Get(studyPath(one.ID)).Has(t, http.StatusOK, "Take it into use")
}

func TestStudyRefusesOtherSites(t *testing.T) {
	b := newStudyBench(t)
	study := b.invented(t, 2)
	for _, path := range []string{"/studies", "/studies/import", studyPath(study.ID) + "/take", sheetPath(study.Sheets[0], 1)} {
		b.wren.foreign(path).Has(t, http.StatusForbidden)
	}
	if now, err := b.store.StudyByID(t.Context(), study.ID); err != nil || now.Frozen() {
		t.Errorf("%+v, %v; want it as it was", now.Uses, err)
	}
}

// TestWhoseUncertaintiesStandBesideTheFigures: on the client's page those in force,
// on a flag those that it was found with, on a letter those in force.
func TestWhoseUncertaintiesStandBesideTheFigures(t *testing.T) {
	b := newStudyBench(t)
	client := b.BenchClient("K-014")
	b.kit.Visit(client, "delivery", "33.4", "33.7", "32.1")
	b.clock.Pass(5 * time.Minute)
	b.kit.Visit(client, "follow-up", "30.4", "30.7", "29.1")
	flags, err := b.store.FlagsOf(t.Context(), client.ID)
	if err != nil || len(flags) == 0 {
		t.Fatalf("%d flags, %v", len(flags), err)
	}
	page, letter := "/clients/"+client.ID, b.handOver(client, "Dr Ash", flagPath(flags[0]))
	const usual, own = "defaults (common practice)", "own study of 5 January 2026, 10 limbs by 2 fitters, taken into use by Olga"
	for _, path := range []string{page, letter, flagPath(flags[0])} {
		b.kit.Get(path).Has(t, http.StatusOK, usual)
	}
	study := b.invented(t, 10)
	b.owner.Post(studyPath(study.ID)+"/take", "version", "1", "note", "ten limbs").Has(t, http.StatusSeeOther)
	for _, path := range []string{page, letter} {
		a := b.kit.Get(path)
		a.Has(t, http.StatusOK, own)
		if strings.Contains(a.Body, usual) && path == letter {
			t.Errorf("%s names the defaults too", path)
		}
	}
	flag := b.kit.Get(flagPath(flags[0]))
	flag.Has(t, http.StatusOK, usual, "σr = 2")
	if strings.Contains(flag.Body, "other figures than those of this evidence") {
		t.Error("the evidence can't be worked out any more")
	}
	b.clock.Pass(5 * time.Minute)
	b.kit.Visit(client, "follow-up", "30.1", "30.3", "28.8")
	if flags, err = b.store.FlagsOf(t.Context(), client.ID); err != nil {
		t.Fatal(err)
	}
	for _, f := range flags {
		a := b.kit.Get(flagPath(f))
		if strings.Contains(a.Body, "other figures than those of this evidence") {
			t.Errorf("%s: evidence can't be worked out", f.Rule)
		}
	}
}
