package recording

import (
	"encoding/hex"
	"fmt"
	"strings"
	"time"

	"github.com/google/uuid"

	"newel/internal/measure"
	"newel/internal/newel"
)

// ContractError reports a document whose contract version this server does not
// support. The phone is not at fault: it keeps the document and tries again
// after the server has been updated.
type ContractError struct{ Contract int64 }

// Error names the requested and the supported version.
func (e *ContractError) Error() string {
	return fmt.Sprintf("the document follows contract version %d; this server speaks versions up to %d", e.Contract, Contract)
}

// TooLargeError reports a body of more than Most bytes.
type TooLargeError struct{ Size, Most int }

// Error returns the actual and the maximum size.
func (e *TooLargeError) Error() string {
	return fmt.Sprintf("the body has %d bytes; at most %d are allowed", e.Size, e.Most)
}

// Decode parses a document as a phone sends it. An error it returns is a
// *TooLargeError, a *ContractError, or an *InvalidError with the path; nothing
// unknown is ignored.
func Decode(body []byte) (Document, error) {
	if len(body) > MaxBody {
		return Document{}, &TooLargeError{len(body), MaxBody}
	}
	root, err := parse(body)
	if err != nil {
		return Document{}, err
	}
	return readDocument(root)
}

func readDocument(n node) (Document, error) {
	var d Document
	o, err := n.object()
	if err != nil {
		return d, err
	}
	if err := readContract(o, &d); err != nil {
		return d, err
	}
	if d.ID, err = readNeeded(o, "id", readRecordingID); err != nil {
		return d, err
	}
	if d.Origin, err = readOrigin(o); err != nil {
		return d, err
	}
	if d.Header, err = readNeeded(o, "header", readHeader); err != nil {
		return d, err
	}
	if d.Trials, err = readNeeded(o, "trials", listOf(MaxTrials, readTrial)); err != nil {
		return d, err
	}
	if err := checkOrder(o.path, d.Trials); err != nil {
		return d, err
	}
	if d.Closing, err = readOptional(o, "closing", readClosing); err != nil {
		return d, err
	}
	if err := checkComplete(o.path, d); err != nil {
		return d, err
	}
	if err := checkVersion(o.path, d); err != nil {
		return d, err
	}
	return d, o.done()
}

// checkVersion verifies that a document has no field that is newer than the
// contract version it follows.
func checkVersion(path string, d Document) error {
	for _, s := range fieldSpecs {
		if rev, _ := s.get(d.Header); rev > 0 && s.since > d.Contract {
			return &InvalidError{join(path, "header."+string(s.name)), fmt.Sprintf("requires contract version %d", s.since)}
		}
	}
	for i, t := range d.Trials {
		if t.Answer != nil && d.Contract < 2 && t.Answer.version() > d.Contract {
			return &InvalidError{fmt.Sprintf("%s[%d].answer", join(path, "trials"), i), "has a field that requires contract version 2"}
		}
	}
	return nil
}

// version returns the contract version that the answer's fields require.
func (a Answer) version() int {
	if a.RecoveryMS != nil || a.RecoveryNone || a.Adjusted || len(a.Expected) > 0 {
		return 2
	}
	return 1
}

// readContract runs first: a later version may have fields that this one does
// not know, and the sender should get the real reason.
func readContract(o *object, d *Document) error {
	n, err := o.need("contract")
	if err != nil {
		return err
	}
	version, err := n.integer(1, 1<<31)
	if err != nil {
		return err
	}
	if version > Contract {
		return &ContractError{version}
	}
	d.Contract = int(version)
	return nil
}

// readNeeded reads a required field.
func readNeeded[T any](o *object, name string, read func(node) (T, error)) (T, error) {
	n, err := o.need(name)
	if err != nil {
		var none T
		return none, err
	}
	return read(n)
}

// readOptional reads an optional field; nil if it is missing.
func readOptional[T any](o *object, name string, read func(node) (T, error)) (*T, error) {
	n, ok := o.may(name)
	if !ok {
		return nil, nil
	}
	v, err := read(n)
	if err != nil {
		return nil, err
	}
	return &v, nil
}

// orZero returns *p, or the zero value if p is nil.
func orZero[T any](p *T, err error) (T, error) {
	if p == nil {
		var none T
		return none, err
	}
	return *p, err
}

func readID[I newel.ID[K], K any](n node) (I, error) {
	s, _ := n.value.(string)
	id, err := newel.ParseID[I, K](s)
	if err != nil || strings.ToLower(s) != s || s == uuid.Nil.String() {
		return I{}, n.fail("must be a UUID in lower case with hyphens")
	}
	return id, nil
}

func readRecordingID(n node) (newel.RecordingID, error) {
	id, err := readID[newel.RecordingID](n)
	if err == nil && (id.Version() != 7 || id.Variant() != uuid.RFC4122) {
		return newel.RecordingID{}, n.fail("must be a UUID of version 7")
	}
	return id, err
}

func readOrigin(o *object) (Origin, error) {
	var g Origin
	var err error
	if g.Placement, err = readNeeded(o, "placement", readID[newel.PlacementID]); err != nil {
		return g, err
	}
	if g.Author, err = readNeeded(o, "author", readID[newel.AccountID]); err != nil {
		return g, err
	}
	if g.Kit, err = readNeeded(o, "kit", readKit); err != nil {
		return g, err
	}
	if g.Device, err = readNeeded(o, "device", readName); err != nil {
		return g, err
	}
	g.StartedAt, err = readNeeded(o, "started_at", readDeviceTime)
	return g, err
}

func readKit(n node) (Kit, error) {
	var k Kit
	o, err := n.object()
	if err != nil {
		return k, err
	}
	if k.ID, err = readNeeded(o, "id", readName); err != nil {
		return k, err
	}
	if k.Hash, err = readNeeded(o, "hash", readHash); err != nil {
		return k, err
	}
	return k, o.done()
}

func readName(n node) (string, error) {
	s, err := n.text(maxKitText)
	if err == nil && s == "" {
		return "", n.fail("must not be empty")
	}
	return s, err
}

func readHash(n node) (string, error) {
	s, _ := n.value.(string)
	if b, err := hex.DecodeString(s); err != nil || len(b) != 32 || strings.ToLower(s) != s {
		return "", n.fail("must be a SHA-256 in lower-case hex (64 characters)")
	}
	return s, nil
}

// deviceTimeForms are the two accepted formats. The explicit zone offset
// distinguishes one phone's local evening from another's morning.
var deviceTimeForms = []string{"2006-01-02T15:04:05Z07:00", "2006-01-02T15:04:05.000Z07:00"}

func readDeviceTime(n node) (DeviceTime, error) {
	s, _ := n.value.(string)
	for _, form := range deviceTimeForms {
		if t, err := time.Parse(form, s); err == nil && t.Format(form) == s && t.Year() >= 1 {
			return DeviceTime(s), nil
		}
	}
	return "", n.fail("must be a time like 2026-03-09T18:30:12+08:00 or with milliseconds, 2026-03-09T18:30:12.345+08:00")
}

func readTrial(n node) (Trial, error) {
	var t Trial
	o, err := n.object()
	if err != nil {
		return t, err
	}
	if t.N, err = readNeeded(o, "n", intFrom(1, MaxTrials)); err != nil {
		return t, err
	}
	if t.Rev, err = readRev(o); err != nil {
		return t, err
	}
	if err := readMark(o, &t); err != nil {
		return t, err
	}
	return t, o.done()
}

// readMark reads a trial's revision without the trial number.
func readMark(o *object, t *Trial) error {
	var err error
	if t.AtMS, err = readNeeded(o, "at_ms", readOffset); err != nil {
		return err
	}
	if t.Answer, err = readOptional(o, "answer", readAnswer); err != nil {
		return err
	}
	if t.Void, err = orZero(readOptional(o, "void", node.bool)); err != nil {
		return err
	}
	if t.Void == (t.Answer != nil) {
		return &InvalidError{o.path, "must have either an answer or void: true"}
	}
	return nil
}

func readAnswer(n node) (Answer, error) {
	var a Answer
	o, err := n.object()
	if err != nil {
		return a, err
	}
	if a.Target, err = orZero(readOptional(o, "target", readText)); err != nil {
		return a, err
	}
	if a.Outcome, err = readNeeded(o, "outcome", readOutcome); err != nil {
		return a, err
	}
	if a.Help, err = orZero(readOptional(o, "help", readText)); err != nil {
		return a, err
	}
	if err := readResponse(o, &a); err != nil {
		return a, err
	}
	if err := readRecovery(o, &a); err != nil {
		return a, err
	}
	if a.Expected, err = orZero(readOptional(o, "expected", readExpectations)); err != nil {
		return a, err
	}
	if len(a.Expected) > 0 && a.declaredHere() && !a.Combined() {
		return a, &InvalidError{join(o.path, "outcome"), "does not follow from what is expected"}
	}
	return a, o.done()
}

// declaredHere reports whether the outcome is one that expectations combine to.
// Otherwise it is about the trial as a whole, such as a child's no.
func (a Answer) declaredHere() bool {
	return a.Outcome == measure.Correct || a.Outcome == measure.Incorrect || a.Outcome == measure.NoChance
}

func readExpectations(n node) ([]Expected, error) {
	all, err := listOf(MaxExpected, readExpected)(n)
	if err != nil {
		return nil, err
	}
	seen := map[string]bool{}
	for _, e := range all {
		if seen[e.Key] {
			return nil, n.fail("has %q twice", e.Key)
		}
		seen[e.Key] = true
	}
	if len(all) == 0 {
		return nil, n.fail("must not be empty")
	}
	return all, nil
}

func readExpected(n node) (Expected, error) {
	var e Expected
	o, err := n.object()
	if err != nil {
		return e, err
	}
	if e.Key, err = readNeeded(o, "key", readName); err != nil {
		return e, err
	}
	if e.Outcome, err = readNeeded(o, "outcome", func(n node) (measure.Outcome, error) {
		return oneOf(n, measure.Correct, measure.Incorrect, measure.NoChance)
	}); err != nil {
		return e, err
	}
	if e.Help, err = orZero(readOptional(o, "help", readText)); err != nil {
		return e, err
	}
	return e, o.done()
}

// readRecovery reads how long the learner took to be steady again.
func readRecovery(o *object, a *Answer) error {
	var err error
	if a.RecoveryMS, err = readOptional(o, "recovery_ms", func(n node) (int64, error) {
		return n.integer(0, maxLatencyMS)
	}); err != nil {
		return err
	}
	if a.RecoveryNone, err = orZero(readOptional(o, "recovery_none", node.bool)); err != nil {
		return err
	}
	if a.RecoveryNone && a.RecoveryMS != nil {
		return &InvalidError{join(o.path, "recovery_none"), "cannot be true when there is a recovery_ms"}
	}
	a.Adjusted, err = orZero(readOptional(o, "adjusted", node.bool))
	return err
}

func readOutcome(n node) (measure.Outcome, error) { return oneOf(n, measure.Outcomes...) }

// readResponse reads the details of the response: its latency and the position
// chosen.
func readResponse(o *object, a *Answer) error {
	var err error
	if a.LatencyMS, err = readOptional(o, "latency_ms", func(n node) (int64, error) {
		return n.integer(0, maxLatencyMS)
	}); err != nil {
		return err
	}
	if a.None, err = orZero(readOptional(o, "none", node.bool)); err != nil {
		return err
	}
	if a.None && a.LatencyMS != nil {
		return &InvalidError{join(o.path, "none"), "cannot be true when there is a latency_ms"}
	}
	if a.Choices, err = orZero(readOptional(o, "choices", intFrom(2, MaxChoices))); err != nil {
		return err
	}
	a.Position, err = orZero(readOptional(o, "position", intFrom(1, max(a.Choices, 1))))
	if err == nil && a.Position > 0 && a.Choices == 0 {
		return &InvalidError{join(o.path, "position"), "requires choices"}
	}
	return err
}

func intFrom(least, most int) func(node) (int, error) {
	return func(n node) (int, error) {
		v, err := n.integer(int64(least), int64(most))
		return int(v), err
	}
}

func readClosing(n node) (Closing, error) {
	var c Closing
	o, err := n.object()
	if err != nil {
		return c, err
	}
	if c.Last, err = readNeeded(o, "last", intFrom(0, MaxTrials)); err != nil {
		return c, err
	}
	if c.EndMS, err = readNeeded(o, "end_ms", readOffset); err != nil {
		return c, err
	}
	if c.EndedAt, err = readNeeded(o, "ended_at", readDeviceTime); err != nil {
		return c, err
	}
	return c, o.done()
}

func checkOrder(path string, trials []Trial) error {
	for i := 1; i < len(trials); i++ {
		if trials[i].N <= trials[i-1].N {
			return &InvalidError{fmt.Sprintf("%s[%d].n", join(path, "trials"), i), fmt.Sprintf("is %d after %d; trials must be in ascending order, one revision each", trials[i].N, trials[i-1].N)}
		}
	}
	return nil
}

// checkComplete verifies that a closing document has every trial it claims.
func checkComplete(path string, d Document) error {
	if d.Closing == nil {
		return nil
	}
	// Trials are ascending without duplicates, so count and last number
	// suffice.
	last := d.Closing.Last
	if len(d.Trials) != last || last > 0 && d.Trials[last-1].N != last {
		return &InvalidError{join(path, "closing.last"), fmt.Sprintf("is %d, but the trials are not exactly 1 to %d; a closing document must be complete", last, last)}
	}
	return nil
}
