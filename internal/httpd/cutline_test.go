package httpd

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"newel/internal/recording"
)

// line is a connection between a phone and the server that tests can cut: a TCP
// proxy in front of a real server.
type line struct {
	t       testing.TB
	server  *httptest.Server
	gate    net.Listener
	cookies []*http.Cookie
	fault   atomic.Pointer[fault]
	wires   sync.WaitGroup
}

// fault describes the treatment of the next connection.
type fault struct {
	// up cuts both directions after this many bytes from the phone; -1 for
	// never.
	up int
	// down cuts after this many bytes of the answer; -1 for never. The whole
	// request has arrived, and the server has answered.
	down int
	// spoil changes the answer's byte at this position; -1 for none.
	spoil int
}

var sound = fault{-1, -1, -1}

// newLine puts a real server and a proxy in front of the browser's site.
func newLine(t testing.TB, phone *browser) *line {
	t.Helper()
	gate, err := (&net.ListenConfig{}).Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	l := &line{t: t, server: httptest.NewServer(phone.handler), gate: gate}
	for name, value := range phone.cookies {
		l.cookies = append(l.cookies, &http.Cookie{Name: name, Value: value})
	}
	l.set(sound)
	l.wires.Go(l.accept)
	t.Cleanup(func() { _ = gate.Close(); l.wires.Wait(); l.server.Close() })
	return l
}

func (l *line) set(f fault) { l.fault.Store(&f) }

func (l *line) accept() {
	for {
		phone, err := l.gate.Accept()
		if err != nil {
			return
		}
		l.wires.Go(func() { l.carry(phone, *l.fault.Load()) })
	}
}

// carry forwards one request to the server and its answer back, as far as the
// fault allows.
func (l *line) carry(phone net.Conn, f fault) {
	defer func() { _ = phone.Close() }()
	server, err := (&net.Dialer{}).Dial("tcp", l.server.Listener.Addr().String())
	if err != nil {
		return
	}
	defer func() { _ = server.Close() }()
	if f.up >= 0 {
		_, _ = io.CopyN(server, phone, int64(f.up))
		return
	}
	go func() { _, _ = io.Copy(server, phone) }() // ends when the deferred Close does
	answer, err := readAnswer(server)
	if err != nil {
		return
	}
	if f.spoil >= 0 {
		answer[len(answer)-1-f.spoil] ^= 0x15
	}
	if f.down >= 0 {
		answer = answer[:min(f.down, len(answer))]
	}
	_, _ = phone.Write(answer)
}

// readAnswer reads one whole answer from the connection.
func readAnswer(c net.Conn) ([]byte, error) {
	var raw bytes.Buffer
	res, err := http.ReadResponse(bufio.NewReader(io.TeeReader(c, &raw)), nil)
	if err != nil {
		return nil, err
	}
	defer func() { _ = res.Body.Close() }()
	if _, err := io.Copy(io.Discard, res.Body); err != nil {
		return nil, err
	}
	return raw.Bytes(), nil
}

// put sends a body on a new connection. It returns the receipt only if a phone
// may trust the answer.
func (l *line) put(path, kind string, body []byte) (*recording.Receipt, error) {
	l.t.Helper()
	client := &http.Client{Transport: &http.Transport{DisableKeepAlives: true}}
	res, err := client.Do(l.request(path, kind, body))
	if err != nil {
		return nil, err
	}
	defer func() { _ = res.Body.Close() }()
	answer, err := io.ReadAll(res.Body)
	if err != nil {
		return nil, err
	}
	return believed(res.StatusCode, res.Header.Get("Content-Type"), answer, body)
}

func (l *line) request(path, kind string, body []byte) *http.Request {
	l.t.Helper()
	r, err := http.NewRequestWithContext(context.Background(), http.MethodPut, "http://"+l.gate.Addr().String()+path, bytes.NewReader(body))
	if err != nil {
		l.t.Fatal(err)
	}
	r.GetBody = nil // Go's client must not retry by itself
	r.Header.Set("Content-Type", kind)
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	for _, c := range l.cookies {
		r.AddCookie(c)
	}
	return r
}

// believed returns what docs/recording-contract.md lets a phone trust.
func believed(status int, kind string, answer, sent []byte) (*recording.Receipt, error) {
	var receipt recording.Receipt
	switch err := decodeStrictly(answer, &receipt); {
	case status != http.StatusOK && status != http.StatusCreated:
		return nil, fmt.Errorf("status %d: %s", status, answer)
	case kind != recording.ReceiptMediaType:
		return nil, fmt.Errorf("no receipt but %s", kind)
	case err != nil:
		return nil, err
	case receipt.SHA256 != recording.Sum(sent):
		return nil, fmt.Errorf("a receipt for another body")
	}
	return &receipt, nil
}

// size returns the number of bytes a phone sends for the document, including
// headers.
func (l *line) size(d recording.Document) int {
	l.t.Helper()
	raw, err := httputil.DumpRequestOut(l.request("/recordings/"+d.ID.String(), recording.MediaType, d.Encode()), true)
	if err != nil {
		l.t.Fatal(err)
	}
	return len(raw)
}

func (l *line) document(d recording.Document) (*recording.Receipt, error) {
	l.t.Helper()
	return l.put("/recordings/"+d.ID.String(), recording.MediaType, d.Encode())
}

// shadow holds what phones were told is stored: the receipts, and by whom.
type shadow struct {
	mu   sync.Mutex
	said []recording.Receipt
}

func (s *shadow) note(r recording.Receipt) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.said = append(s.said, r)
}

// check verifies the server's invariants: nothing with a receipt is missing
// (I1), one id is one recording (I2), a receipt is right about closing and
// trials (I4), and what does not count says so (I6).
func (s *shadow) check(t testing.TB, b benchSite) {
	t.Helper()
	for _, r := range s.said {
		n := b.count(`select (select count(*) from delivery where recording_id = $1 and encode(body_hash, 'hex') = $2)
			+ (select count(*) from quarantine where id = $1 and receipts ? $2)`, r.ID, r.SHA256)
		if n != 1 {
			t.Errorf("%s: a body with a receipt is stored %d times", r.ID, n)
		}
		if n := b.count(`select (select count(*) from recording where id = $1) + (select count(*) from quarantine where id = $1)`, r.ID); n != 1 {
			t.Errorf("%s: stored as %d recordings", r.ID, n)
		}
		if r.Quarantined {
			continue
		}
		var state recording.State
		if err := b.site.World.DB.Bypass.QueryRow(t.Context(), `select state from recording where id = $1`, r.ID).Scan(&state); err != nil {
			t.Errorf("%s: %v", r.ID, err)
		}
		if state.SafeThrough() < r.SafeThrough || r.Closed && !state.Closed() {
			t.Errorf("%s: the receipt says %d tries, closed %v; kept are %d, %v", r.ID, r.SafeThrough, r.Closed, state.SafeThrough(), state.Closed())
		}
	}
	if n := b.count(`select count(*) from recording r where not exists (select from delivery d where d.recording_id = r.id)`); n != 0 {
		t.Errorf("%d recordings that no one has sent", n)
	}
}

// must sends a document and records its receipt.
func (s *shadow) must(t testing.TB, phone *browser, d recording.Document) recording.Receipt {
	t.Helper()
	return s.mustBody(t, phone, "/recordings/"+d.ID.String(), recording.MediaType, d.Encode())
}

func (s *shadow) mustBody(t testing.TB, phone *browser, path, kind string, body []byte) recording.Receipt {
	t.Helper()
	p := phone.put(path, kind, strings.NewReader(string(body)))
	receipt, err := believed(p.status, p.header.Get("Content-Type"), []byte(p.body), body)
	if err != nil {
		t.Fatal(err)
	}
	s.note(*receipt)
	return *receipt
}
