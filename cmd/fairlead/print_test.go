package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// paper is a size of paper, in inches, and how pdfinfo says it.
type paper struct {
	name          string
	width, height float64
	size          string
}

var papers = []paper{{"a4", 8.27, 11.69, "A4"}, {"letter", 8.5, 11, "letter"}}

// printed is a page as it came out on paper.
type printed struct {
	info, text string
	sheets     []string // the text of each
}

// print prints the page that is open, from a dark screen, and keeps the PDF where
// pictures are kept.
func (v *visitor) print(name string, p paper) printed {
	v.t.Helper()
	v.look(screen{1280, "dark"})
	var pdf []byte
	v.do("print "+name, emulation.SetEmulatedMedia().WithMedia(""), chromedp.ActionFunc(func(ctx context.Context) error {
		var err error
		pdf, _, err = page.PrintToPDF().WithPaperWidth(p.width).WithPaperHeight(p.height).
			WithGenerateTaggedPDF(true).WithMarginTop(0.4).WithPreferCSSPageSize(false).Do(ctx)
		return err
	}))
	folder := os.Getenv("FAIRLEAD_PICTURES")
	if folder == "" {
		folder = v.t.TempDir()
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		v.t.Fatal(err)
	}
	file := filepath.Join(folder, name+"-"+p.name+".pdf")
	if err := os.WriteFile(file, pdf, 0o644); err != nil {
		v.t.Fatal(err)
	}
	text := v.poppler("pdftotext", "-layout", file, "-")
	sheets := strings.Split(strings.TrimSuffix(text, "\f"), "\f")
	return printed{info: v.poppler("pdfinfo", file), text: strings.Join(strings.Fields(text), " "), sheets: sheets}
}

// poppler runs one of Debian's poppler-utils, which make test installs.
func (v *visitor) poppler(name string, args ...string) string {
	v.t.Helper()
	out, err := exec.Command(name, args...).Output()
	if err != nil {
		v.t.Fatalf("%s (make test installs it): %v", name, err)
	}
	return string(out)
}

// onPaper fails the test unless a page came out on the right paper, tagged, with
// every sheet numbered and named, none of them empty, on few sheets and with all the
// texts. It returns the last sheet on each paper.
func (v *visitor) onPaper(name, foot string, most int, texts ...string) (last []string) {
	v.t.Helper()
	for _, p := range papers {
		got := v.print(name, p)
		last = append(last, got.sheets[len(got.sheets)-1])
		where := name + " on " + p.name
		if !regexp.MustCompile(`(?m)^Page size: .*\(` + p.size + `\)`).MatchString(got.info) {
			v.t.Errorf("%s: not that paper\n%s", where, got.info)
		}
		if !regexp.MustCompile(`(?m)^Tagged: +yes`).MatchString(got.info) {
			v.t.Errorf("%s: not tagged\n%s", where, got.info)
		}
		if len(got.sheets) > most {
			v.t.Errorf("%s: %d sheets, want %d at most", where, len(got.sheets), most)
		}
		for i, sheet := range got.sheets {
			number := fmt.Sprintf("Page %d of %d", i+1, len(got.sheets))
			if !strings.Contains(sheet, number) || !strings.Contains(sheet, foot) {
				v.t.Errorf("%s: sheet %d lacks %q or %q\n%s", where, i+1, number, foot, sheet)
			}
			if words := len(strings.Fields(sheet)); words < 60 {
				v.t.Errorf("%s: sheet %d is as good as empty, %d words\n%s", where, i+1, words, sheet)
			}
		}
		for _, text := range texts {
			if !strings.Contains(got.text, text) {
				v.t.Errorf("%s: no %q\n%s", where, text, got.text)
			}
		}
		for _, screenOnly := range []string{"Sign out", "Skip to the content", "New check-in"} {
			if strings.Contains(got.text, screenOnly) {
				v.t.Errorf("%s: %q is for the screen alone", where, screenOnly)
			}
		}
	}
	return last
}

// TestPrint prints what goes out of the house on both sizes of paper: a client's
// page, a letter to a prosthetist who does not sign in, and a signed review.
func TestPrint(t *testing.T) {
	p := start(t, "demo", "--data", t.TempDir(), "--addr", "127.0.0.1:0", "--log-level", "error")
	base := p.says(`(http://127\.0\.0\.1:\d+)`)
	name, password, _ := strings.Cut(p.says(`sign in as (\S+ +password .+)$`), "password ")
	v := newVisitor(t, base)
	v.signIn(strings.TrimSpace(name), password)
	var handover, review string
	for _, client := range v.clientsOfToday() {
		v.open(client)
		for _, link := range v.links() {
			switch kindOf(link) {
			case "/clients/…/limbs/…/handovers/new":
				handover = link
			case "/clients/…/reviews/…":
				if review == "" { // the newest, which saw the most
					review = link
				}
			}
		}
		if handover != "" && review != "" {
			break
		}
	}
	if handover == "" || review == "" {
		t.Fatalf("no client of Today has flags to hand over and a signed review: %q, %q", handover, review)
	}
	v.open(handover[:strings.Index(handover, "/limbs/")])
	v.onPaper("client", "printed on", 14, "It does not diagnose or treat", "95 %", "Comfort, 0 to 10")

	v.open(handover)
	v.do("tick every flag", chromedp.Evaluate(`document.querySelectorAll('main input[type=checkbox]:not(:checked)').forEach(b => b.click())`, nil))
	v.fill("to_whom", "Invented Clinic Elsewhere")
	v.choose("means", "letter")
	v.submit("")
	v.open(v.address() + "/letter")
	answers := v.onPaper("letter", "printed on", 4, "Letter to Invented Clinic Elsewhere", "Why we write", "Limits in force", "mL", "± 95 %", "(95 %",
		"Comfort, 0 to 10", "Your answer about", "Cover off until", "Look again by", "Signature", "How to send it back",
		"Socket decisions are yours; local rules apply.", "It does not diagnose or treat")

	for _, sheet := range answers { // is sent back alone, so it says all that the answer needs
		for _, text := range []string{"Your answer about", "Look again by", "Signature", "How to send it back", "Invented lane 1"} {
			if !strings.Contains(sheet, text) {
				t.Errorf("the sheet of the answer lacks %q\n%s", text, sheet)
			}
		}
	}
	v.checkOnce(map[string]int{}, axeSource(t), "letter")

	v.open(review)
	for _, sheet := range v.onPaper("review", "printed on", 2, "It does not diagnose or treat", "Signed") {
		if !strings.Contains(sheet, "SHA-256") || !strings.Contains(sheet, "Girth readings") {
			t.Errorf("the signature is not there, or stands alone\n%s", sheet)
		}
	}
	v.staysHome()
	p.ends()
}

// clientsOfToday are the addresses of the clients that Today lists, in its order.
func (v *visitor) clientsOfToday() []string {
	v.t.Helper()
	v.open("/today")
	var clients []string
	for _, link := range v.links() {
		if path, _, _ := strings.Cut(link, "?"); kindOf(path) == "/clients/…" && !slices.Contains(clients, path) {
			clients = append(clients, path)
		}
	}
	return clients
}
