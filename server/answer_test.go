package server

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/png"
	"mime/multipart"
	"net/http"
	"net/textproto"
	"strings"
	"sync"
	"testing"
	"time"

	"fairlead/models"
)

// Send sends a form with a file, as a browser would.
func (b *browser) Send(path, fileName string, content []byte, pairs ...string) answer {
	b.t.Helper()
	var body bytes.Buffer
	w := multipart.NewWriter(&body)
	for i := 0; i+1 < len(pairs); i += 2 {
		if err := w.WriteField(pairs[i], pairs[i+1]); err != nil {
			b.t.Fatal(err)
		}
	}
	header := textproto.MIMEHeader{}
	header.Set("Content-Disposition", `form-data; name="document"; filename="`+strings.ReplaceAll(fileName, `"`, `\"`)+`"`)
	header.Set("Content-Type", "application/octet-stream")
	part, err := w.CreatePart(header)
	if err == nil {
		_, err = part.Write(content)
	}
	if err == nil {
		err = w.Close()
	}
	if err != nil {
		b.t.Fatal(err)
	}
	req, err := http.NewRequest(http.MethodPost, b.URL+path, &body)
	if err != nil {
		b.t.Fatal(err)
	}
	req.Header.Set("Content-Type", w.FormDataContentType())
	req.Header.Set("Sec-Fetch-Site", "same-origin")
	return b.do(req)
}

// letter is about the smallest document that is one.
var letter = []byte("%PDF-1.7\n1 0 obj <</Type /Page>> endobj\n% an invented letter\n%%EOF\n")

// answerTo is the form of an answer, with what changes of it.
func (b handoverBench) answerTo(handover string, pairs ...string) []string {
	b.t.Helper()
	a := b.kit.Get(handover)
	a.Has(b.t, http.StatusOK)
	_, form, _ := strings.Cut(a.Body, handover+`/answer"`)
	page := answer{Body: form}
	all := []string{"answer_means", "letter", "answered_on", b.day(0), "said", "Leave it <on>."}
	for _, field := range append([]string{"id", "version", "from_whom", "next_on", "room", "limits_number"}, limitFields...) {
		all = append(all, field, page.Value(b.t, field))
	}
	for _, m := range hiddenInput.FindAllStringSubmatch(form, -1) {
		if strings.HasPrefix(m[1], "version.") {
			all = append(all, m[1], m[2])
		}
	}
	return append(all, pairs...)
}

func (b handoverBench) closing(flag, reason string) []string {
	return []string{"close." + idIn(flag), "yes", "reason." + idIn(flag), reason}
}

func (b handoverBench) flagAtPath(path string) models.Flag {
	b.t.Helper()
	f, err := b.store.FlagByID(b.t.Context(), idIn(path))
	if err != nil {
		b.t.Fatal(err)
	}
	return f
}

func (b handoverBench) answers() []models.Answer {
	b.t.Helper()
	all, err := b.store.AnswersOf(b.t.Context(), b.client.ID)
	if err != nil {
		b.t.Fatal(err)
	}
	return all
}

func TestAnswerWithItsDocument(t *testing.T) {
	b := newHandoverBench(t)
	handover := b.HandedOver()
	form := b.answerTo(handover, append(b.closing(b.limb, "as written"), "limits_set", "yes", "loss", "8", "loss_review", "12", "next_on", b.day(9))...)
	b.kit.Send(handover+"/answer", "brief <1>.html", letter, form...).Has(t, http.StatusSeeOther)
	b.kit.Send(handover+"/answer", "brief <1>.html", letter, form...).Has(t, http.StatusSeeOther)
	answers := b.answers()
	if len(answers) != 1 {
		t.Fatalf("got %d answers, want the one", len(answers))
	}
	if f := b.flagAtPath(b.limb); f.ClosedAt == nil || f.ClosedAnswerID == nil || *f.ClosedAnswerID != answers[0].ID || f.CloseReason != "as written" {
		t.Errorf("got %+v, want it closed by the answer", f)
	}
	if f := b.flagAtPath(b.skin); f.ClosedAt != nil || string(f.AskAgainOn) != b.day(9) {
		t.Errorf("got %+v, want it open and awaited", f)
	}
	limits, err := b.store.LimitsOfMany(t.Context(), []string{b.client.Limb.ID})
	if set := limits[b.client.Limb.ID]; err != nil || len(set) != 1 || set[0].LossPercent != 8 || set[0].SetBy != "I. Invented" ||
		set[0].AnswerID == nil || string(set[0].SetOn) != b.day(0) || !strings.HasPrefix(set[0].Reason, "Per letter of I. Invented of") {
		t.Errorf("limits %+v, %v", set, err)
	}
	document := answerPath(answers[0]) + "/document"
	b.kit.Get(handover).Has(t, http.StatusOK, "closed by letter of I. Invented of", "recorded by Kit", "as written", `href="`+document+`"`,
		"Leave it &lt;on&gt;.", "per letter of I. Invented", "brief &lt;1&gt;.html")
	b.kit.Get(b.limb).Has(t, http.StatusOK, "by the written answer of I. Invented of")

	a := b.kit.Get(document)
	a.Has(t, http.StatusOK)
	if a.Body != string(letter) {
		t.Errorf("got %q", a.Body)
	}
	for header, want := range map[string]string{
		"Content-Type": "application/pdf", "Content-Disposition": `attachment; filename="brief -1.pdf"`, "X-Content-Type-Options": "nosniff",
		"Cache-Control": "no-store", "Content-Security-Policy": "default-src 'none'; sandbox",
	} {
		if got := a.Header.Get(header); got != want {
			t.Errorf("%s: %q, want %q", header, got, want)
		}
	}
	other := b.BenchClient("K-019")
	b.kit.Get("/clients/"+other.ID+"/answers/"+answers[0].ID+"/document").Has(t, http.StatusNotFound)
	b.kit.Get("/clients/"+b.client.ID+"/answers/"+models.NewID()+"/document").Has(t, http.StatusNotFound)
	b.As("wren", models.Prosthetist).Get(document).Has(t, http.StatusNotFound)
	b.As("olm", models.Owner).Get(document).Has(t, http.StatusForbidden)
}

// TestAnswerWithoutItsDocumentClosesNothing, neither when it is refused nor when
// it is recorded; the letter that follows does.
func TestAnswerWithoutItsDocumentClosesNothing(t *testing.T) {
	b := newHandoverBench(t)
	handover := b.HandedOver()
	form := b.answerTo(handover, b.closing(b.limb, "kept reason")...)
	b.kit.Post(handover+"/answer", form...).Has(t, http.StatusUnprocessableEntity, "only with its document", "kept reason")
	b.kit.Send(handover+"/answer", "", nil, form...).Has(t, http.StatusUnprocessableEntity, "only with its document", "kept reason")
	b.kit.Post(handover+"/answer", b.answerTo(handover, "limits_set", "yes", "loss", "8")...).Has(t, http.StatusUnprocessableEntity, "only with its document")
	called := b.answerTo(handover, append([]string{"answer_means", "phone"}, b.closing(b.limb, "as said")...)...)
	b.kit.Post(handover+"/answer", called...).Has(t, http.StatusUnprocessableEntity, "What was said by telephone closes no flag", "as said")
	if len(b.answers()) != 0 {
		t.Fatal("an answer that was refused is there")
	}
	b.kit.Post(handover+"/answer", b.answerTo(handover, "answer_means", "phone", "next_on", "", "document_sha256", "0", "closed_answer_id", "1")...).Has(t, http.StatusSeeOther)
	b.kit.Get(handover).Has(t, http.StatusOK, "Recorded. Without the document the flag stays open.", "No document is attached")
	for _, path := range []string{b.limb, b.skin} {
		if f := b.flagAtPath(path); f.ClosedAt != nil || f.HandoverID != nil || f.AskAgainOn != "" {
			t.Errorf("got %+v, want it open and awaited no more", f)
		}
	}
	if limits, err := b.store.LimitsOfMany(t.Context(), []string{b.client.Limb.ID}); err != nil || len(limits) != 0 {
		t.Errorf("limits %+v, %v", limits, err)
	}
	b.kit.Send(handover+"/answer", "a.pdf", letter, b.answerTo(handover, append(b.closing(b.limb, "one"), b.closing(b.skin, "two")...)...)...).Has(t, http.StatusSeeOther)
	for _, path := range []string{b.limb, b.skin} {
		if f := b.flagAtPath(path); f.ClosedAt == nil {
			t.Errorf("got %+v, want it closed", f)
		}
	}
}

// TestAnswerClosesOnlyWhatItMay: not the fitter's own flags, none of another
// handover, none of another client.
func TestAnswerClosesOnlyWhatItMay(t *testing.T) {
	b := newHandoverBench(t)
	form := b.Filled("flag."+idIn(b.cover), "yes")
	form.Del("flag." + idIn(b.skin))
	made := b.kit.PostForm(strings.TrimSuffix(b.form, "/new"), form)
	other := b.BenchClient("K-020")
	foreign := b.raiseNow(other, b.kit.Visit(other, "delivery", "33.4", "33.7", "32.1"))
	b.kit.Get(made.Location).Lacks(t, "close."+idIn(b.cover))
	pairs := b.answerTo(made.Location)
	for _, path := range []string{b.cover, b.skin, foreign} {
		pairs = append(append(pairs, b.closing(path, "tampered")...), "version."+idIn(path), "1")
	}
	b.kit.Send(made.Location+"/answer", "a.pdf", letter, pairs...).Has(t, http.StatusSeeOther)
	for _, path := range []string{b.cover, b.skin, foreign, b.limb} {
		if f := b.flagAtPath(path); f.ClosedAt != nil {
			t.Errorf("%s was closed", path)
		}
	}
}

func TestAnswerFormSaysWhatIsWrong(t *testing.T) {
	b := newHandoverBench(t)
	handover := b.HandedOver()
	for name, tt := range map[string]struct {
		pairs []string
		want  string
	}{
		"from nobody":            {[]string{"from_whom", ""}, "#from_whom"},
		"no way":                 {[]string{"answer_means", "owl"}, "#answer_means"},
		"before the handover":    {[]string{"answered_on", b.day(-1)}, "can&#39;t be older"},
		"tomorrow":               {[]string{"answered_on", b.day(1)}, "in the future"},
		"nothing said":           {[]string{"said", " "}, "#said"},
		"no reason":              {[]string{"close." + idIn(b.limb), "yes"}, "#reason." + idIn(b.limb)},
		"a reason, no tick":      {[]string{"reason." + idIn(b.limb), "lonely"}, "not ticked to be closed"},
		"limits without a tick":  {[]string{"loss", "7"}, "A figure or the reason below was changed"},
		"limits in wrong order":  {[]string{"limits_set", "yes", "loss", "20"}, `href="#loss_review">Smaller by: review soon`},
		"the past to ask again":  {[]string{"next_on", b.day(0)}, "must be a day after"},
		"ten thousand and more":  {[]string{"said", strings.Repeat("🦶", 10_000)}, "#said"},
		"direction of the text":  {[]string{"from_whom", "a\u202eb"}, "#from_whom"},
		"a box that says maybe":  {[]string{"close." + idIn(b.limb), "maybe"}, "#close." + idIn(b.limb)},
		"a figure that is a day": {[]string{"loss", "Monday"}, "#loss"},
	} {
		t.Run(name, func(t *testing.T) {
			a := b.kit.Send(handover+"/answer", "a.pdf", letter, b.answerTo(handover, append([]string{"said", "kept <words>"}, tt.pairs...)...)...)
			a.Has(t, http.StatusUnprocessableEntity, tt.want, "Nothing of a.pdf was kept. Choose the file again.")
			if !strings.Contains(strings.Join(tt.pairs, " "), "said") {
				a.Has(t, http.StatusUnprocessableEntity, "kept &lt;words&gt;")
			}
		})
	}
	if len(b.answers()) != 0 {
		t.Error("something was recorded")
	}
}

// pictureOf is a PNG whose header claims a size, without its pixels.
func pictureOf(t *testing.T, width, height uint32) []byte {
	t.Helper()
	var small bytes.Buffer
	if err := png.Encode(&small, image.NewGray(image.Rect(0, 0, leastSide, leastSide))); err != nil {
		t.Fatal(err)
	}
	content := small.Bytes()
	binary.BigEndian.PutUint32(content[16:], width)
	binary.BigEndian.PutUint32(content[20:], height)
	binary.BigEndian.PutUint32(content[29:], crc32.ChecksumIEEE(content[12:29]))
	return content
}

func TestDocumentIsToldByItsContent(t *testing.T) {
	for name, tt := range map[string]struct {
		file    string
		content []byte
		want    string // of the problem; empty: it is taken
		kind    string
	}{
		"a PDF":                    {"a.pdf", letter, "", "application/pdf"},
		"a PNG that is called jpg": {"a.jpg", pictureOf(t, leastSide, leastSide), "", "image/png"},
		"a PNG without its pixels": {"a.png", pictureOf(t, 999, 999), "is not whole", ""},
		"HTML that is called pdf":  {"a.pdf", []byte("<html><script>1</script>"), "is not a PDF, JPEG or PNG", ""},
		"HTML before a PDF":        {"a.pdf", []byte("<html>%PDF-1.7"), "is not a PDF, JPEG or PNG", ""},
		"SVG":                      {"a.png", []byte(`<svg xmlns="http://www.w3.org/2000/svg"/>`), "is not a PDF, JPEG or PNG", ""},
		"the head of a PNG":        {"a.png", pictureOf(t, leastSide, leastSide)[:12], "is not a PDF, JPEG or PNG", ""},
		"an empty file":            {"a.pdf", nil, "a.pdf is empty", ""},
		"a picture too wide":       {"a.png", pictureOf(t, 100_000, 100_000), "more than 40 million pixels", ""},
		"the widest there can be":  {"a.png", pictureOf(t, 1<<31-1, 1<<31-1), "is not a PDF, JPEG or PNG", ""},
	} {
		t.Run(name, func(t *testing.T) {
			b := newHandoverBench(t)
			handover := b.HandedOver()
			a := b.kit.Send(handover+"/answer", tt.file, tt.content, b.answerTo(handover, "said", "kept words")...)
			if tt.want != "" {
				a.Has(t, http.StatusUnprocessableEntity, tt.want, "kept words")
				if len(b.answers()) != 0 {
					t.Error("it was recorded")
				}
				return
			}
			a.Has(t, http.StatusSeeOther)
			if got := b.kit.Get(answerPath(b.answers()[0]) + "/document"); got.Header.Get("Content-Type") != tt.kind || got.Body != string(tt.content) {
				t.Errorf("got %s", got.Header.Get("Content-Type"))
			}
		})
	}
}

// TestLargeDocument: what was typed comes back with a document that is too large,
// whether it or all that was sent is over the limit; other forms take no more than
// before.
func TestLargeDocument(t *testing.T) {
	b := newHandoverBench(t)
	handover := b.HandedOver()
	for name, size := range map[string]int{"the largest": mostDocument, "a little over": mostDocument + 1, "far over": maxAnswer + 1<<20} {
		content := append(make([]byte, 0, size), letter...)
		content = append(append(content, make([]byte, size-2*len(letter))...), letter...)
		a := b.kit.Send(handover+"/answer", "big.pdf", content, b.answerTo(handover, "said", "kept words")...)
		if name == "the largest" {
			a.Has(t, http.StatusSeeOther)
			continue
		}
		a.Has(t, http.StatusRequestEntityTooLarge, "big.pdf is larger than 15 MB", "kept words")
	}
	if n := len(b.answers()); n != 1 {
		t.Errorf("got %d answers, want the one that is not over", n)
	}
	b.kit.Send(handover+"/answer", "", nil, "said", strings.Repeat("x", maxAnswer+1)).Has(t, http.StatusRequestEntityTooLarge, "The document may have 15 MB")
	b.kit.Post(handover+"/ask-again", "again_note", strings.Repeat("x", maxBody+1)).Has(t, http.StatusRequestEntityTooLarge, "too much to send")
}

// TestNameOfADocumentIsOnlyAName tries to break out of the header and of the
// folder that a document is saved to.
func TestNameOfADocumentIsOnlyAName(t *testing.T) {
	for name, want := range map[string]string{
		"letter.pdf": "letter.pdf", "../../etc/passwd": "passwd.pdf", `C:\scans\a.exe`: "a.pdf", "a\r\nSet-Cookie: x=1.pdf": "aSet-Cookie- x-1.pdf",
		`a"; filename="b.html`: "a-- filename--b.pdf", "": "answer-2026-03-20.pdf", "...": "answer-2026-03-20.pdf", "Brief an Köhler.pdf": "Brief an Köhler.pdf",
	} {
		got := savedName(models.Answer{DocumentName: cleanName(name), AnsweredOn: "2026-03-20"}, models.Document{MediaType: "application/pdf"})
		if got != want {
			t.Errorf("%q is saved as %q, want %q", name, got, want)
		}
	}
	b := newHandoverBench(t)
	handover := b.HandedOver()
	b.kit.Send(handover+"/answer", "Brief\u202e an \u00d6 \"quoted\"; x=y.pdf", letter, b.answerTo(handover)...).Has(t, http.StatusSeeOther)
	a := b.kit.Get(answerPath(b.answers()[0]) + "/document")
	if got := a.Header.Get("Content-Disposition"); !strings.HasPrefix(got, "attachment; filename") || strings.ContainsAny(got, "\r\n\"") {
		t.Errorf("Content-Disposition: %q", got)
	}
}

// TestTwoRecordAnAnswerAtOnce: one is recorded, the other is told and loses
// nothing.
func TestTwoRecordAnAnswerAtOnce(t *testing.T) {
	b := newHandoverBench(t)
	handover := b.HandedOver()
	second := b.answerTo(handover, append(b.closing(b.limb, "second reason"), "said", "second words")...)
	first := b.answerTo(handover, b.closing(b.limb, "first reason")...)
	b.kit.Send(handover+"/answer", "a.pdf", letter, first...).Has(t, http.StatusSeeOther)
	b.kit.Send(handover+"/answer", "a.pdf", letter, second...).Has(t, http.StatusConflict, "Somebody recorded something here", "second words", "second reason", "Choose the file again", "first reason")
	if n := len(b.answers()); n != 1 {
		t.Errorf("got %d answers", n)
	}

	b.clock.Pass(time.Minute)
	same := b.answerTo(handover, b.closing(b.skin, "many")...)
	var wait sync.WaitGroup
	statuses := make([]int, 6)
	for i := range statuses {
		wait.Go(func() { statuses[i] = b.kit.Send(handover+"/answer", "a.pdf", letter, same...).Status })
	}
	wait.Wait()
	if got := fmt.Sprint(statuses); got != "[303 303 303 303 303 303]" {
		t.Errorf("got %s", got)
	}
	if n := len(b.answers()); n != 2 {
		t.Errorf("sent many times at once it makes %d answers, want 2 in all", n)
	}
}

// TestEvidenceThatCameMeanwhileKeepsTheFlagOpen: an answer that was read before
// new evidence closes nothing.
func TestEvidenceThatCameMeanwhileKeepsTheFlagOpen(t *testing.T) {
	b := newHandoverBench(t)
	handover := b.HandedOver()
	form := b.answerTo(handover, b.closing(b.skin, "kept reason")...)
	b.raiseNow(b.client, b.checkin)
	b.kit.Send(handover+"/answer", "a.pdf", letter, form...).Has(t, http.StatusConflict, "Somebody recorded something here", "kept reason")
	if f := b.flagAtPath(b.skin); f.ClosedAt != nil || len(b.answers()) != 0 {
		t.Errorf("got %+v", f)
	}
}
