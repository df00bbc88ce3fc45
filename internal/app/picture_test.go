package app_test

import (
	"bytes"
	"errors"
	"image"
	"image/png"
	"testing"
	"time"

	"github.com/google/uuid"

	"newel/internal/app"
	"newel/internal/newel"
	"newel/internal/program"
)

func aPicture(t testing.TB) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, 3, 2))); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestPictures checks that a picture is added to a draft, published with it and
// named in the kit, and that only staff of the clinic and families taught the
// step can see it.
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
		t.Errorf("on a missing step: %v", err)
	}
	for _, target := range []string{"", "cup", "bowl"} {
		if _, err := b.app.AddPicture(ctx, lead, form(), program, app.PictureInput{Step: "s1", Target: target, Alt: "a cup", Body: aPicture(t)}); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := b.app.DropPicture(ctx, lead, form(), program, app.PictureInput{Step: "s1", Target: "bowl"}); err != nil {
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
	// A form that was open in the meantime shows no pictures and removes none.
	saved := draft.Draft.Document.Sheet().Document()
	saved.CarryFrom(&draft.Draft.Document)
	if _, kept := saved.Step("s1"); kept.Picture == nil || kept.Targets[0].Picture == nil {
		t.Error("saving the form removes the pictures")
	}
	sum := step.Picture.SHA256
	if _, err := b.app.Picture(ctx, b.Home.Caregiver, sum); !errors.Is(err, newel.ErrNotFound) {
		t.Errorf("a caregiver sees a draft's picture: %v", err)
	}
	kept, err := b.app.Picture(ctx, b.Supervisor, sum)
	if err != nil || kept.Kind != newel.PNG || kept.Width != 3 || kept.Height != 2 || len(kept.Body) == 0 {
		t.Errorf("a supervisor's: %+v, %v", kept, err)
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
	if err != nil || kit.Picture == nil || *kit.Picture != (newel.PictureRef{SHA256: sum, Type: newel.PNG, Size: len(kept.Body), Alt: "a cup"}) || kit.Targets[0].Picture == nil {
		t.Errorf("kit: %+v, %v", kit, err)
	}
}

// TestPicturesOfADraft checks that the description can change alone, that one
// picture can be added wherever a target is taught, that undo restores a
// removed picture, and that unused pictures, and no others, are deleted a month
// later.
func TestPicturesOfADraft(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	ctx, lead, prog := t.Context(), b.Lead, programOf(t, b)
	if _, err := b.app.BeginDraft(ctx, lead, app.NewForm(), prog); err != nil {
		t.Fatal(err)
	}
	step := func() *program.Step {
		t.Helper()
		v, err := b.app.Draft(ctx, lead, prog)
		if err != nil {
			t.Fatal(err)
		}
		_, s := v.Draft.Document.Step("s1")
		return s
	}
	put := func(in app.PictureInput) {
		t.Helper()
		in.Step = "s1"
		if _, err := b.app.AddPicture(ctx, lead, app.NewForm(), prog, in); err != nil {
			t.Fatal(err)
		}
	}
	var none *newel.Invalid
	if _, err := b.app.AddPicture(ctx, lead, app.NewForm(), prog, app.PictureInput{Step: "s1", Body: []byte("GIF89a")}); !errors.As(err, &none) || len(none.Problems) != 2 {
		t.Errorf("neither words nor a picture: %v", err)
	}
	put(app.PictureInput{Target: "cup", Alt: "a cup", Body: aPicture(t), Everywhere: true})
	put(app.PictureInput{Target: "cup", Alt: "a red cup"})
	ref := step().Target("cup").Picture
	if ref == nil || ref.Alt != "a red cup" {
		t.Fatalf("%+v", ref)
	}
	if _, err := b.app.DropPicture(ctx, lead, app.NewForm(), prog, app.PictureInput{Step: "s1", Target: "cup"}); err != nil {
		t.Fatal(err)
	}
	if step().Target("cup").Picture != nil {
		t.Error("it was not removed")
	}
	v, err := b.app.Draft(ctx, lead, prog)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := b.app.SaveDraft(ctx, lead, app.NewForm(), prog, app.DraftInput{Rev: v.Draft.Rev, Edit: &app.DraftEdit{Undo: true}}); err != nil {
		t.Fatal(err)
	}
	if step().Target("cup").Picture == nil {
		t.Error("undo did not restore it")
	}
	month := func(n int) func() time.Time {
		return func() time.Time { return evening.AddDate(0, 0, 31*n) }
	}
	there := func(want bool, when string) {
		t.Helper()
		if err := b.app.ClearPictures(ctx); err != nil {
			t.Fatal(err)
		}
		if _, err := b.app.Picture(ctx, lead, ref.SHA256); errors.Is(err, newel.ErrNotFound) == want {
			t.Errorf("%s: %v, want present: %v", when, err, want)
		}
	}
	b.now = month(1)
	there(true, "a month later, in the draft and its history")
	if _, err := b.DB.Bypass.Exec(ctx, `delete from draft`); err != nil {
		t.Fatal(err)
	}
	b.now = month(0)
	there(true, "on the same day")
	b.now = month(1)
	there(false, "a month later, shown nowhere")
}

// programOf returns the bench's only program.
func programOf(t testing.TB, b *bench) newel.ProgramID {
	t.Helper()
	var id newel.ProgramID
	if err := b.DB.Bypass.QueryRow(t.Context(), `select id from program`).Scan(&id); err != nil {
		t.Fatal(err)
	}
	return id
}

// TestRenewedPhoneKeys checks that phones get the new key with their next day,
// and that data encrypted to the old one can still be decrypted.
func TestRenewedPhoneKeys(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	before := newSealer(t, b)
	if n, err := b.app.RenewPhoneKeys(t.Context()); err != nil || n != 1 {
		t.Fatalf("%d, %v", n, err)
	}
	after := newSealer(t, b)
	if after.key.KeyID == before.key.KeyID || after.key.X == before.key.X {
		t.Error("phones still get the old key")
	}
	for _, s := range []sealer{before, after} {
		if stored, err := b.app.StoreRecording(t.Context(), b.Home.Caregiver, s.seal(t, b.session("aa", 0).Document())); err != nil || !stored.Receipt.Closed {
			t.Errorf("%+v, %v", stored, err)
		}
	}
}

// TestReceiptsOutliveAccess checks that people who lost access to a family are
// not told that their recordings are lost, and that the same bytes again get
// the same receipt and are not stored twice.
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
