package view

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"newel/internal/message"
	"newel/internal/newel"
)

// TestShellFollowsTheLanguage checks that the shell declares its language and
// direction, including for future languages.
func TestShellFollowsTheLanguage(t *testing.T) {
	t.Parallel()
	all, err := message.Load()
	if err != nil {
		t.Fatal(err)
	}
	for lang, dir := range map[string]string{"en": "ltr", "ar": "rtl"} {
		var b bytes.Buffer
		p := PhoneShell{Page: Page{Lang: lang, Dir: dir}, T: all.Printer("en")}
		if err := Shell(p).Render(t.Context(), &b); err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(b.String(), `<html lang="`+lang+`" dir="`+dir+`">`) {
			t.Errorf("%s: %.80s", lang, b.String())
		}
	}
}

// TestPhonesSendCodesOfPlaces checks that the button of a place shows a label and
// sends a code.
func TestPhonesSendCodesOfPlaces(t *testing.T) {
	t.Parallel()
	all, err := message.Load()
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := Shell(PhoneShell{Page: Page{Lang: "en", Dir: "ltr"}, T: all.Printer("en")}).Render(t.Context(), &b); err != nil {
		t.Fatal(err)
	}
	for code, label := range map[string]string{newel.PlaceHome: "home", newel.PlaceOut: "out and about", newel.PlaceClinic: "clinic"} {
		button := `<input type="radio" name="place" value="` + code + `"><span>` + label + `</span>`
		if !strings.Contains(b.String(), button) {
			t.Errorf("there is no %s", button)
		}
	}
	if n := strings.Count(b.String(), `name="place"`); n != len(newel.Places) {
		t.Errorf("%d places are offered, want %d", n, len(newel.Places))
	}
}

// sided matches declarations that name left or right instead of start or end.
var sided = regexp.MustCompile(`(?:^|[\s{;])((?:margin|padding|border)-(?:left|right)(?:-\w+)?|float|text-align:\s*(?:left|right)|left|right)\s*[:;]`)

// centred are the few that name sides but are the same in both directions, or
// are mirrored elsewhere.
var centred = []string{".hand::before", ".cover {", "transform-origin"}

// TestPhoneSheetsNameNoSides checks that the phone's style sheets work in both
// directions.
func TestPhoneSheetsNameNoSides(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"caregiver", "phone", "recorder", "shell", "forms", "parts", "tokens"} {
		raw, err := os.ReadFile(filepath.Join("..", "..", "web", "src", "css", name+".css"))
		if err != nil {
			t.Fatal(err)
		}
	lines:
		for i, line := range strings.Split(string(raw), "\n") {
			for _, c := range centred {
				if strings.Contains(line, c) {
					continue lines
				}
			}
			if m := sided.FindString(line); m != "" {
				t.Errorf("%s.css:%d names a side: %s", name, i+1, strings.TrimSpace(m))
			}
		}
	}
}
