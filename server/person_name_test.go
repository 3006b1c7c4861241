package server

import (
	"net/http"
	"strings"
	"testing"

	"fairlead/models"
)

// TestNamesOfAccountsAreUnique: a signature tells whose it is.
func TestNamesOfAccountsAreUnique(t *testing.T) {
	s := newSite(t)
	owner := s.As("olive", models.Owner)
	wren := s.Person("wren", models.Prosthetist)
	add := func(name string) answer {
		return owner.Post("/setup/people", "name", name, "sign_in", "another", "is_fitter", "yes")
	}
	for _, name := range []string{"Wren", "wREN.", "Dr Wren", "W\u200bren", "Wre\u00adn", "Wrén"} {
		add(name).Has(t, http.StatusUnprocessableEntity, "who signs in as wren, has this name", "#name")
	}
	add("Wrеn Ashby").Has(t, http.StatusUnprocessableEntity, "letters of two alphabets", "#name") // a Cyrillic е
	add("Wren Ashby").Has(t, http.StatusOK)

	path := "/setup/people/" + wren.ID
	save := func(pairs ...string) answer {
		return owner.Post(path, append([]string{"sign_in", "wren", "is_prosthetist", "yes", "version", "1"}, pairs...)...)
	}
	save("name", "Ashby, Wren").Has(t, http.StatusUnprocessableEntity, "who signs in as another, has this name")
	save("name", "Wren").Has(t, http.StatusSeeOther)
}

// TestAccountsOfTheSameName of before are told apart by their sign-in names, on
// every signature and wherever a flag was closed.
func TestAccountsOfTheSameName(t *testing.T) {
	r := newReviewBench(t)
	twin := r.Person("twin", models.Fitter)
	twin.Name = "wren"
	if err := r.store.UpdatePerson(t.Context(), &twin); err != nil {
		t.Fatal(err)
	}
	form := r.Checked(r.wren, "decision.no-change", "yes", "flag."+r.flag, "close", "reason."+r.flag, "known")
	r.wren.PostForm(r.path+"/sign", with(form, "password", testPassword)).Has(t, http.StatusSeeOther)
	signed := r.signed()[0]
	if signed.SignerName != "Wren" {
		t.Errorf("signed as %q; the name itself stays as it was", signed.SignerName)
	}
	for _, path := range []string{signedPath(signed), clientPath(r.client.Client), r.path, clientPath(r.client.Client) + "/flags/" + r.flag} {
		r.wren.Get(path).Has(t, http.StatusOK, "Wren (wren)")
	}
	owner := r.As("olive", models.Owner)
	owner.Post("/setup/people/"+twin.ID, "name", "wren", "sign_in", "twin", "is_fitter", "yes", "disabled", "yes", "version", "2").Has(t, http.StatusSeeOther)
}

// TestNobodyWhoSignsInAnswersUnderADisguise: hidden and foreign letters, titles and
// clinics make no other name.
func TestNobodyWhoSignsInAnswersUnderADisguise(t *testing.T) {
	b := newHandoverBench(t)
	wren := b.Person("wren", models.Prosthetist)
	wren.Name = "Wren Ashby"
	if err := b.store.UpdatePerson(t.Context(), &wren); err != nil {
		t.Fatal(err)
	}
	path, handover := strings.TrimSuffix(b.form, "/new"), b.HandedOver()
	for _, name := range []string{"Wren Ash\u200bby", "Dr Wren Ashby", "Wren Ashby, Harbour clinic", "W. Ashby", "Wrеn Аshby", "Wren Ashby."} {
		b.kit.PostForm(path, b.Filled("to_whom", name)).Has(t, http.StatusUnprocessableEntity, "Wren Ashby signs in here", "full name of their clinic", "#to_whom")
		b.kit.Send(handover+"/answer", "a.pdf", letter, b.answerTo(handover, "from_whom", name)...).Has(t, http.StatusUnprocessableEntity, "Wren Ashby signs in here", "#from_whom")
	}
	b.kit.PostForm(path, b.Filled("to_whom", "Rοbin Miller")).Has(t, http.StatusUnprocessableEntity, "letters of two alphabets") // a Greek ο
	b.kit.Send(handover+"/answer", "a.pdf", letter, b.answerTo(handover, "from_whom", "Robin Ashby, prosthetist")...).Has(t, http.StatusSeeOther)
}
