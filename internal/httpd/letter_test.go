package httpd

import (
	"encoding/json"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"newel/internal/fixture"
	"newel/internal/fixture/phone"
	"newel/internal/htmlcheck"
	"newel/internal/letter"
	"newel/internal/newel"
	"newel/internal/recording"
)

// written returns a letter as a phone keeps it, and its body.
func (b *browser) written(kind letter.Kind, of string, fields ...string) (letter.Letter, []byte) {
	b.t.Helper()
	l := letter.Letter{
		Contract: letter.Contract, ID: uuid.Must(uuid.NewV7()), Author: b.day("", "").Account, Kind: kind, Of: of,
		At: time.Date(2026, 11, 30, 18, 40, 0, 0, time.UTC), Fields: map[string]string{},
	}
	for i := 0; i+1 < len(fields); i += 2 {
		l.Fields[fields[i]] = fields[i+1]
	}
	body, err := json.Marshal(l)
	if err != nil {
		b.t.Fatal(err)
	}
	return l, body
}

func (b *browser) putLetter(id uuid.UUID, kind string, body []byte) *reply {
	b.t.Helper()
	return b.put("/phone/letters/"+id.String(), kind, strings.NewReader(string(body)))
}

func (b *browser) sealLetter(id uuid.UUID, body []byte) []byte {
	b.t.Helper()
	sealed, err := json.Marshal(phone.Seal(b.t, b.day("", "").SealKey, newel.RecordingID{UUID: id}, body))
	if err != nil {
		b.t.Fatal(err)
	}
	return sealed
}

// A letter counts once: sent again open, sealed, in a rescue file or after its
// response was lost. Each receipt is for exactly the bytes that were sent.
func TestLetterCountsOnce(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	mother := s.as(s.Home.Caregiver)
	l, body := mother.written(letter.Message, "", "message", "He asked for it himself.", "until", "")
	sealed := mother.sealLetter(l.ID, body)
	for _, sent := range []struct {
		kind string
		body []byte
	}{{letter.MediaType, body}, {letter.MediaType, body}, {recording.SealedMediaType, sealed}} {
		var got letter.Receipt
		p := mother.putLetter(l.ID, sent.kind, sent.body).want(http.StatusOK)
		if err := json.Unmarshal([]byte(p.body), &got); err != nil || got != letter.ReceiptFor(l.ID, sent.body) {
			t.Errorf("receipt %s, %v", p.body, err)
		}
		if kind := p.header.Get("Content-Type"); kind != letter.ReceiptMediaType {
			t.Errorf("type %s", kind)
		}
	}
	rescued := mother.ask("/phone/rescue", `{"contract": 1, "sealed": [`+string(sealed)+`]}`).want(http.StatusOK)
	if !strings.Contains(rescued.body, `"outcome":"stored"`) {
		t.Errorf("rescued: %s", rescued.body)
	}
	mother.get("/messages").check(htmlcheck.Count(".letters li", 1), htmlcheck.In(".letters li.own", htmlcheck.HasText("He asked for it himself.")))
}

// Everything that a caregiver can write on a phone arrives where its form would
// have put it.
func TestLettersOfEachKind(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	mother := s.as(s.Home.Caregiver)
	put := func(kind letter.Kind, of string, fields ...string) *reply {
		t.Helper()
		l, body := mother.written(kind, of, fields...)
		return mother.putLetter(l.ID, letter.MediaType, body)
	}
	put(letter.Incident, "", "happened_on", "2026-03-01", "saw", "Fell on the stairs", "hurt", "no").want(http.StatusOK)
	page := mother.get("/incidents").check(htmlcheck.In(".incident", htmlcheck.HasText("Fell on the stairs")))
	_, after, _ := strings.Cut(page.body, `action="/incidents/`)
	id, _, _ := strings.Cut(after, `"`)
	put(letter.IncidentNote, id, "note", "It was the third stair.").want(http.StatusOK)
	mother.get("/incidents").check(htmlcheck.In(".incident", htmlcheck.HasText("It was the third stair.")))

	placement := s.taught(fixture.WashingHands(), "aaaan")
	desk := s.as(s.Supervisor)
	ask := "/placements/" + placement.String() + "/ask"
	desk.post(ask, with(desk.get(ask).form("#ask-form"), "question", "Where do you sit?")).leads("/placements/" + placement.String())
	open := mother.get("/questions").want(http.StatusOK)
	_, after, _ = strings.Cut(open.body, `action="/questions/`)
	id, _, _ = strings.Cut(after, `"`)
	put(letter.Answer, id, "answer", "On the floor.").want(http.StatusOK)
	// Someone else has answered in the meantime: the phone keeps it and says so.
	if p := put(letter.Answer, id, "answer", "On the sofa.").want(http.StatusConflict); p.problem().Error != "conflict" {
		t.Errorf("answered twice: %s", p.body)
	}
}

// TestLetterRefused checks what a phone is told about a letter that will never
// be accepted, and that one of another person is not accepted in their name.
func TestLetterRefused(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	mother, neighbor := s.as(s.Home.Caregiver), s.as(s.NextDoor.Caregiver)
	blank, body := mother.written(letter.Message, "", "message", "  ")
	if p := mother.putLetter(blank.ID, letter.MediaType, body).want(http.StatusUnprocessableEntity); p.problem().Path != "fields.message" || p.problem().Problem == "" {
		t.Errorf("blank: %s", p.body)
	}
	l, body := mother.written(letter.Message, "", "message", "He asked for it himself.")
	if p := neighbor.putLetter(l.ID, letter.MediaType, body); p.status != http.StatusUnauthorized {
		t.Errorf("in another person’s name: %d", p.status)
	}
	if p := neighbor.putLetter(l.ID, recording.SealedMediaType, mother.sealLetter(l.ID, body)); p.status == http.StatusOK {
		t.Error("sealed, in another person’s name: stored")
	}
	if p := mother.putLetter(uuid.Must(uuid.NewV7()), letter.MediaType, body); p.status != http.StatusUnprocessableEntity || p.problem().Path != "id" {
		t.Errorf("another id: %d %s", p.status, p.body)
	}
	if p := mother.putLetter(l.ID, "text/plain", body); p.status != http.StatusUnsupportedMediaType {
		t.Errorf("another type: %d", p.status)
	}
	elsewhere, body := neighbor.written(letter.IncidentNote, newel.NewID[newel.IncidentID]().String(), "note", "It was the third stair.")
	if p := neighbor.putLetter(elsewhere.ID, letter.MediaType, body); p.status != http.StatusNotFound {
		t.Errorf("about nothing in reach: %d", p.status)
	}
	for _, who := range []*browser{mother, neighbor} {
		who.get("/messages").check(htmlcheck.Count(".letters li", 0))
	}
}
