// Package letter is what a caregiver writes on a phone without signal, as the
// document that the phone keeps and sends: a message to the clinic, the answer
// to a question, an incident report or a line below one.
package letter

import (
	"crypto/sha256"
	"encoding/hex"
	"time"

	"github.com/google/uuid"

	"newel/internal/newel"
	"newel/internal/strict"
)

// Contract is the version of the document.
const Contract = 1

// MediaType is the media type of a letter. A sealed one has the media type of
// sealed recordings.
const MediaType = "application/vnd.newel.letter+json"

// ReceiptMediaType is the media type of the response to a stored letter.
const ReceiptMediaType = "application/vnd.newel.letter-receipt+json"

// MaxBody is the maximum size of a letter in bytes: several times the longest
// incident report.
const MaxBody = 100_000

// Kind is what a letter is.
type Kind string

// The kinds.
const (
	Message      Kind = "message"
	Answer       Kind = "answer"        // to a question
	Incident     Kind = "incident"      // a new report
	IncidentNote Kind = "incident_note" // a line below a report
)

// Letter is the document. The phone makes its id, which is also the token of
// the form: sent twice, a letter counts once.
type Letter struct {
	Contract int               `json:"letter"`
	ID       uuid.UUID         `json:"id"`
	Author   newel.AccountID   `json:"author"`
	Kind     Kind              `json:"kind"`
	Of       string            `json:"of"`     // id of the question or incident; empty for the other kinds
	At       time.Time         `json:"at"`     // when it was written, by the phone's clock
	Fields   map[string]string `json:"fields"` // the form's fields by name
}

// Receipt confirms that the server stored exactly the body with this hash.
type Receipt struct {
	ID     string `json:"id"`
	SHA256 string `json:"sha256"`
}

// ReceiptFor returns the receipt for a body as it was sent.
func ReceiptFor(id uuid.UUID, body []byte) Receipt {
	sum := sha256.Sum256(body)
	return Receipt{ID: id.String(), SHA256: hex.EncodeToString(sum[:])}
}

// maxFields is more than any of the forms has.
const maxFields = 20

// Decode parses a letter. Errors are a *strict.Error.
func Decode(body []byte) (l Letter, err error) {
	err = strict.Read(body, func(d *strict.Decoder) error {
		return d.Object([]string{"letter", "id", "author", "kind", "at", "fields"}, func(name string) error {
			switch name {
			case "letter":
				if err := d.Integer(&l.Contract); err != nil {
					return err
				}
				if l.Contract != Contract {
					return d.Failed("this server reads version %d", Contract)
				}
				return nil
			case "id":
				return readID(d, &l.ID)
			case "author":
				return d.Parsed(&l.Author)
			case "kind":
				return readKind(d, &l.Kind)
			case "of":
				return d.Text(&l.Of)
			case "at":
				return d.Parsed(&l.At)
			case "fields":
				l.Fields = map[string]string{}
				return d.Object(nil, func(name string) error { return readField(d, name, l.Fields) })
			}
			return d.Unknown()
		})
	})
	return l, err
}

func readID(d *strict.Decoder, id *uuid.UUID) error {
	if err := d.Parsed(id); err != nil {
		return err
	}
	if id.Version() != 7 || id.Variant() != uuid.RFC4122 {
		return d.Failed("must be a UUID of version 7")
	}
	return nil
}

func readKind(d *strict.Decoder, kind *Kind) error {
	if err := d.Text((*string)(kind)); err != nil {
		return err
	}
	switch *kind {
	case Message, Answer, Incident, IncidentNote:
		return nil
	}
	return d.Failed("is not a kind of letter")
}

func readField(d *strict.Decoder, name string, fields map[string]string) error {
	if len(fields) == maxFields {
		return d.Failed("has more than %d fields", maxFields)
	}
	var text string
	if err := d.Text(&text); err != nil {
		return err
	}
	fields[name] = text
	return nil
}
