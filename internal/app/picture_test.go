package app_test

import (
	"bytes"
	"errors"
	"image"
	"image/png"
	"testing"

	"github.com/google/uuid"

	"newel/internal/app"
	"newel/internal/newel"
)

func aPicture(t testing.TB) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, 3, 2))); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestPictures: a picture is put on a draft, published with it and named by
// the kit; staff of the clinic see it, and those families alone who are taught
// the step.
func TestPictures(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	ctx, lead := t.Context(), b.Lead
	program := programOf(t, b)
	form := func() app.Form { return app.Form{Token: uuid.Must(uuid.NewV7())} }
	if _, err := b.app.BeginDraft(ctx, lead, form(), program); err != nil {
		t.Fatal(err)
	}
	var invalid *newel.Invalid
	for name, in := range map[string]app.PictureInput{
		"no words":   {Step: "s1", Body: aPicture(t)},
		"no body":    {Step: "s1", Alt: "a cup"},
		"no picture": {Step: "s1", Alt: "a cup", Body: []byte("<svg/>")},
	} {
		if _, err := b.app.AddPicture(ctx, lead, form(), program, in); !errors.As(err, &invalid) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := b.app.AddPicture(ctx, lead, form(), program, app.PictureInput{Step: "none", Alt: "a cup", Body: aPicture(t)}); !errors.Is(err, newel.ErrNotFound) {
		t.Errorf("on a step that is not there: %v", err)
	}
	for _, target := range []string{"", "cup", "bowl"} {
		if _, err := b.app.AddPicture(ctx, lead, form(), program, app.PictureInput{Step: "s1", Target: target, Alt: "a cup", Body: aPicture(t)}); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := b.app.DropPicture(ctx, lead, form(), program, "s1", "bowl"); err != nil {
		t.Fatal(err)
	}
	draft, err := b.app.Draft(ctx, lead, program)
	if err != nil {
		t.Fatal(err)
	}
	_, step := draft.Draft.Document.Step("s1")
	if step.Picture == nil || step.Targets[0].Picture == nil || step.Targets[1].Picture != nil {
		t.Fatalf("pictures of the draft: %+v", step)
	}
	// A form that was open meanwhile shows no pictures and takes none away.
	saved := draft.Draft.Document.Sheet().Document()
	saved.CarryFrom(&draft.Draft.Document)
	if _, kept := saved.Step("s1"); kept.Picture == nil || kept.Targets[0].Picture == nil {
		t.Error("saving the form takes the pictures away")
	}
	sum := step.Picture.SHA256
	if _, err := b.app.Picture(ctx, b.Home.Caregiver, sum); !errors.Is(err, newel.ErrNotFound) {
		t.Errorf("a caregiver sees a draft's picture: %v", err)
	}
	if p, err := b.app.Picture(ctx, b.Supervisor, sum); err != nil || p.Kind != newel.PNG || p.Width != 3 || p.Height != 2 || !bytes.Equal(p.Body, aPicture(t)) {
		t.Errorf("a supervisor's: %+v, %v", p, err)
	}
	in := app.DraftInput{Rev: draft.Draft.Rev, Sheet: draft.Draft.Document.Sheet(), Confirmed: "read"}
	if _, err := b.app.Publish(ctx, lead, form(), program, in); err != nil {
		t.Fatal(err)
	}
	if _, err := b.app.Picture(ctx, b.Home.Caregiver, sum); !errors.Is(err, newel.ErrNotFound) {
		t.Errorf("before the family is on that version: %v", err)
	}
	if _, err := b.DB.Bypass.Exec(ctx, `update placement set version_id = (select id from version order by number desc limit 1) where id = $1`, b.Home.Placement); err != nil {
		t.Fatal(err)
	}
	if p, err := b.app.Picture(ctx, b.Home.Caregiver, sum); err != nil || len(p.Body) == 0 {
		t.Errorf("the family that is taught the step: %v", err)
	}
	if _, err := b.app.Picture(ctx, b.NextDoor.Caregiver, sum); !errors.Is(err, newel.ErrNotFound) {
		t.Errorf("the family next door: %v", err)
	}
	kit, err := b.app.Kit(ctx, b.Home.Caregiver, b.Home.Placement)
	if err != nil || kit.Picture == nil || *kit.Picture != (newel.PictureRef{SHA256: sum, Type: newel.PNG, Size: len(aPicture(t)), Alt: "a cup"}) || kit.Targets[0].Picture == nil {
		t.Errorf("kit: %+v, %v", kit, err)
	}
}

// programOf gives the only program of the bench.
func programOf(t testing.TB, b *bench) newel.ProgramID {
	t.Helper()
	var id newel.ProgramID
	if err := b.DB.Bypass.QueryRow(t.Context(), `select id from program`).Scan(&id); err != nil {
		t.Fatal(err)
	}
	return id
}

// TestRenewedPhoneKeys: phones get the new key with their next day, and what
// was sealed to the old one still opens.
func TestRenewedPhoneKeys(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	before := newSealer(t, b)
	if n, err := b.app.RenewPhoneKeys(t.Context()); err != nil || n != 1 {
		t.Fatalf("%d, %v", n, err)
	}
	after := newSealer(t, b)
	if after.kid == before.kid || after.to.Equal(before.to) {
		t.Error("phones still get the old key")
	}
	for _, s := range []sealer{before, after} {
		if stored, err := b.app.StoreRecording(t.Context(), b.Home.Caregiver, s.seal(t, b.session("aa", 0).Document())); err != nil || !stored.Receipt.Closed {
			t.Errorf("%+v, %v", stored, err)
		}
	}
}

// TestReceiptsOutliveAccess: whoever was taken off a family is not told that
// what they sent is lost, and the same bytes again get the same receipt and
// no second copy.
func TestReceiptsOutliveAccess(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	d := b.session("aan", 0).Document()
	first, err := b.app.StoreRecording(t.Context(), b.Home.Caregiver, app.Delivered{ID: d.ID, Body: d.Encode()})
	if err != nil {
		t.Fatal(err)
	}
	off := b.Home.Caregiver
	off.Families = nil
	checked, err := b.app.CheckReceipts(t.Context(), off, []newel.RecordingID{d.ID}, []string{first.Receipt.SHA256})
	if err != nil || len(checked.Receipts) != 1 {
		t.Fatal(err)
	}
	if c := checked.Receipts[0]; !c.Known || !c.Stored || !c.Closed || c.Quarantined || c.SHA256 != first.Receipt.SHA256 {
		t.Errorf("checked: %+v", c)
	}
	again, err := b.app.StoreRecording(t.Context(), off, app.Delivered{ID: d.ID, Body: d.Encode()})
	if err != nil || again.Receipt != first.Receipt {
		t.Errorf("again: %+v, %v", again, err)
	}
	var held int
	if err := b.DB.Bypass.QueryRow(t.Context(), `select count(*) from quarantine`).Scan(&held); err != nil || held != 0 {
		t.Errorf("%d in quarantine, %v", held, err)
	}
	next := b.NextDoor.Caregiver
	if c, err := b.app.CheckReceipts(t.Context(), next, []newel.RecordingID{d.ID}, []string{first.Receipt.SHA256}); err != nil || c.Receipts[0].Known {
		t.Errorf("next door: %+v, %v", c, err)
	}
}
