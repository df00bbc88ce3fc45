package recording

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// The files in testdata are shared with the phone's side of the contract:
//
//	documents/   documents that are accepted
//	refused.json bodies that are not, and where the error points
//	stories.json what becomes of deliveries, with the receipt for the last one
var update = flag.Bool("update", false, "write what comes of the stories into testdata/stories.json")

func readFile(t testing.TB, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("testdata", filepath.FromSlash(name)))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestDocumentsAreAccepted(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("testdata/documents/*.json")
	if err != nil || len(files) < 8 {
		t.Fatalf("found %d documents, error %v", len(files), err)
	}
	for _, file := range files {
		body := readFile(t, "documents/"+filepath.Base(file))
		d, err := Decode(body)
		if err != nil {
			t.Errorf("%s: %v", file, err)
			continue
		}
		var want bytes.Buffer
		if err := json.Compact(&want, body); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want.String(), string(d.Encode())); diff != "" {
			t.Errorf("%s is not written as it was read (-file +written):\n%s", file, diff)
		}
	}
}

// TestTheExampleInTheDocs checks that the example in the contract's
// documentation is valid.
func TestTheExampleInTheDocs(t *testing.T) {
	t.Parallel()
	page, err := os.ReadFile("../../docs/recording-contract.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(page), "```json\n")
	example, _, ok := strings.Cut(rest, "```")
	if !ok {
		t.Fatal("the page has no example")
	}
	if _, err := Decode([]byte(example)); err != nil {
		t.Errorf("the example is refused: %v", err)
	}
}

type refused struct {
	Name, Kind, Path, Body string
}

func TestBodiesAreRefused(t *testing.T) {
	t.Parallel()
	var cases []refused
	if err := json.Unmarshal(readFile(t, "refused.json"), &cases); err != nil {
		t.Fatal(err)
	}
	for _, c := range cases {
		t.Run(c.Name, func(t *testing.T) {
			t.Parallel()
			_, err := Decode([]byte(c.Body))
			var invalid *InvalidError
			var contract *ContractError
			switch {
			case c.Kind == "contract":
				if !errors.As(err, &contract) {
					t.Errorf("error = %v, want one about the contract", err)
				}
			case !errors.As(err, &invalid):
				t.Errorf("error = %v, want an InvalidError", err)
			case invalid.Path != c.Path:
				t.Errorf("error %q is at %q, want %q", err, invalid.Path, c.Path)
			}
		})
	}
}

func TestLargeAndUnsupportedBodiesAreRefused(t *testing.T) {
	t.Parallel()
	var large *TooLargeError
	if _, err := Decode(bytes.Repeat([]byte(" "), MaxBody+1)); !errors.As(err, &large) {
		t.Errorf("error = %v, want a TooLargeError", err)
	}
	var invalid *InvalidError
	if _, err := Decode([]byte("{\"contract\":1,\"id\":\"\xff\"}")); !errors.As(err, &invalid) {
		t.Errorf("error = %v, want an InvalidError for bytes that are not UTF-8", err)
	}
}

// TestHalfACharacterIsKept: a phone that cuts a text in the middle of an emoji
// sends half of a surrogate pair. That must not cost a family its session.
func TestHalfACharacterIsKept(t *testing.T) {
	t.Parallel()
	body := strings.Replace(string(readFile(t, "documents/growing.json")), "dapur & rumah 家", `home \ud83d`, 1)
	d, err := Decode([]byte(body))
	if err != nil {
		t.Fatal(err)
	}
	if place := d.Header.Place.Or(""); place != "home \uFFFD" {
		t.Errorf("place = %q", place)
	}
}

type story struct {
	Name       string          `json:"name"`
	Deliveries []string        `json:"deliveries"`
	Trials     []Trial         `json:"trials"`
	Header     json.RawMessage `json:"header"`
	Surplus    []string        `json:"surplus"`
	Account    Account         `json:"account"`
	Receipt    Receipt         `json:"receipt"`
}

func TestStories(t *testing.T) {
	t.Parallel()
	var stories []story
	if err := json.Unmarshal(readFile(t, "stories.json"), &stories); err != nil {
		t.Fatal(err)
	}
	for i, want := range stories {
		got := tell(t, want.Name, want.Deliveries)
		if !*update {
			if diff := cmp.Diff(indent(t, want), indent(t, got)); diff != "" {
				t.Errorf("%s (-file +now):\n%s", want.Name, diff)
			}
		}
		stories[i] = got
	}
	if *update {
		if err := os.WriteFile("testdata/stories.json", append(indent(t, stories), '\n'), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func tell(t *testing.T, name string, deliveries []string) story {
	t.Helper()
	var s State
	var body []byte
	var last Document
	for _, file := range deliveries {
		body = readFile(t, "documents/"+file+".json")
		d, err := Decode(body)
		if err != nil {
			t.Fatal(err)
		}
		s, last = merge(t, s, Of(d)), d
	}
	out := story{
		Name: name, Deliveries: deliveries, Trials: s.Trials(), Header: []byte(canonical(s.Header())),
		Surplus: []string{}, Account: s.Account(false),
		Receipt: MakeReceipt(s, last.Contract, body, time.Date(2026, 3, 9, 10, 31, 28, 4_000_000, time.UTC)),
	}
	for _, x := range s.Surplus() {
		out.Surplus = append(out.Surplus, string(x.Ref)+" "+string(x.Why))
	}
	return out
}

func indent(t *testing.T, v any) []byte {
	t.Helper()
	b, err := json.MarshalIndent(v, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func FuzzDecode(f *testing.F) {
	files, err := filepath.Glob("testdata/documents/*.json")
	if err != nil {
		f.Fatal(err)
	}
	for _, file := range files {
		f.Add(readFile(f, "documents/"+filepath.Base(file)))
	}
	var cases []refused
	if err := json.Unmarshal(readFile(f, "refused.json"), &cases); err != nil {
		f.Fatal(err)
	}
	for _, c := range cases {
		f.Add([]byte(c.Body))
	}
	f.Fuzz(func(t *testing.T, body []byte) {
		d, err := Decode(body)
		if err != nil {
			return
		}
		again, err := Decode(d.Encode())
		if err != nil {
			t.Fatalf("an accepted document is refused when encoded: %v", err)
		}
		if !Of(d).Equal(Of(again)) {
			t.Fatal("an accepted document changes when encoded")
		}
		s := merge(t, Of(d), Of(again))
		kept, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		var back State
		if err := json.Unmarshal(kept, &back); err != nil || !back.Equal(s) {
			t.Fatalf("an accepted state cannot be stored: %v", err)
		}
		v := Apply(back, nil)
		if len(v.Trials) != len(d.Trials) || len(v.Surplus) != 0 {
			t.Fatal("a single delivery left surplus")
		}
		SessionOf(v, Effective(v, Arrival{ReceivedAt: time.Unix(1, 0), Zone: time.UTC}))
	})
}
