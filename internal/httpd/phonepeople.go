package httpd

import (
	"errors"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"newel/internal/app"
	"newel/internal/newel"
	"newel/internal/strict"
)

// maxOthers is the maximum number of people on a phone besides the current
// one.
const maxOthers = 4

// phoneTokens returns the credentials that the browser sent.
func (s *Server) phoneTokens(r *http.Request) (current string, others []string) {
	for token := range strings.SplitSeq(s.cookie(r, othersCookie), ".") {
		if token != "" && len(others) < maxOthers {
			others = append(others, token)
		}
	}
	return s.cookie(r, deviceCookie), others
}

// phonePeople lists the people on a phone: the current one, if any, and the
// others.
type phonePeople struct {
	current *app.KnownPhone
	others  []app.KnownPhone
}

func (s *Server) peopleOfPhone(r *http.Request) (phonePeople, error) {
	current, others := s.phoneTokens(r)
	return s.lookUpPeople(r, current, others)
}

// lookUpPeople looks up the credentials and omits those that are no longer
// valid.
func (s *Server) lookUpPeople(r *http.Request, current string, others []string) (phonePeople, error) {
	tokens := others
	if current != "" {
		tokens = append([]string{current}, others...)
	}
	known, err := s.app.KnownPhones(r.Context(), tokens)
	if err != nil {
		return phonePeople{}, err
	}
	var p phonePeople
	for _, k := range known {
		if k.Token == current && !k.Locked {
			p.current = &k
		} else {
			p.others = append(p.others, k)
		}
	}
	return p, nil
}

// lockCurrent moves the phone's current person to the others.
func (s *Server) lockCurrent(r *http.Request, p *phonePeople) error {
	if p.current == nil {
		return nil
	}
	if err := s.app.LockUntilPIN(r.Context(), *p.current); err != nil {
		return err
	}
	p.others = append([]app.KnownPhone{*p.current}, p.others...)
	p.current = nil
	return nil
}

// savePeople writes the cookies. It does not delete a cookie that the browser
// does not have.
func (s *Server) savePeople(w http.ResponseWriter, r *http.Request, p phonePeople) {
	current, others := s.phoneTokens(r)
	if p.current != nil {
		s.bindDevice(w, p.current.Token)
	} else if current != "" {
		s.unbindDevice(w)
	}
	if len(p.others) == 0 && len(others) == 0 {
		return
	}
	saved := p.others[:min(len(p.others), maxOthers)]
	tokens := make([]string, len(saved))
	for i, k := range saved {
		tokens[i] = k.Token
	}
	seconds := int(deviceDays.Seconds())
	if len(tokens) == 0 {
		seconds = -1
	}
	s.setCookie(w, othersCookie, strings.Join(tokens, "."), seconds)
}

// joinPhone makes a newly linked browser the current one. The previous person
// can switch back.
func (s *Server) joinPhone(w http.ResponseWriter, r *http.Request, token string) error {
	p, err := s.peopleOfPhone(r)
	if err != nil {
		return err
	}
	if p.current != nil && p.current.Token == token {
		p.current = nil // the form was resubmitted
	}
	if err := s.lockCurrent(r, &p); err != nil {
		return err
	}
	var others []string
	for _, k := range p.others {
		if k.Token != token {
			others = append(others, k.Token)
		}
	}
	if p, err = s.lookUpPeople(r, token, others); err != nil {
		return err
	}
	if p.current == nil {
		return newel.ErrUnauthenticated
	}
	s.savePeople(w, r, p)
	return nil
}

// phoneAccounts lists the people on the phone, without anything about their
// families.
func (s *Server) phoneAccounts(w http.ResponseWriter, r *http.Request) error {
	p, err := s.peopleOfPhone(r)
	if err != nil {
		return err
	}
	// Do not write cookies here: a late answer would restore a person who has
	// locked the phone in the meantime.
	out := newel.PhoneAccounts{Accounts: []newel.PhoneAccount{}}
	add := func(k app.KnownPhone, current bool) {
		out.Accounts = append(out.Accounts, newel.PhoneAccount{
			Account: k.Account, Initials: k.Initials, Current: current, PINSet: k.PINSet, WaitS: (&app.PINError{Wait: k.Wait}).WaitSeconds(),
		})
	}
	if p.current != nil {
		add(*p.current, true)
	}
	for _, k := range p.others {
		add(k, false)
	}
	return writeJSON(w, http.StatusOK, "application/json", out)
}

// pinProblem tells a phone why a PIN was not accepted.
type pinProblem struct {
	Error string `json:"error"`
	Left  int    `json:"tries_left"`
	WaitS int    `json:"wait_s"`
}

var pinStatus = map[app.PINProblem]int{
	app.PINWrong: http.StatusForbidden, app.PINWait: http.StatusTooManyRequests,
	app.PINRenew: http.StatusGone, app.PINNone: http.StatusConflict,
}

func notOpened(w http.ResponseWriter, e *app.PINError) error {
	if e.Problem == app.PINWait {
		w.Header().Set("Retry-After", strconv.Itoa(e.WaitSeconds()))
	}
	return writeJSON(w, pinStatus[e.Problem], "application/json", pinProblem{Error: string(e.Problem), Left: e.Left, WaitS: e.WaitSeconds()})
}

// postPIN sets the PIN of the current browser.
func (s *Server) postPIN(w http.ResponseWriter, r *http.Request) error {
	var in struct {
		PIN     string
		Current string
	}
	if ok, err := readJSON(w, r, fieldsOf(map[string]func(d *strict.Decoder) error{
		"pin":     func(d *strict.Decoder) error { return d.Text(&in.PIN) },
		"current": func(d *strict.Decoder) error { return d.Text(&in.Current) },
	})); !ok {
		return err
	}
	token, _ := s.phoneTokens(r)
	actor := mustActor(r)
	if actor.Device.IsZero() {
		return newel.ErrNotFound // password sign-ins have no PIN
	}
	err := s.app.SetPIN(r.Context(), actor, token, in.PIN, in.Current)
	var pin *app.PINError
	var invalid *newel.Invalid
	switch {
	case errors.As(err, &pin):
		return notOpened(w, pin)
	case errors.As(err, &invalid):
		return problem(w, http.StatusUnprocessableEntity, phoneProblem{Error: "invalid", Path: "pin", Problem: s.printer(r).Problem(invalid.Problems[0])})
	case err != nil:
		return err
	}
	return writeJSON(w, http.StatusOK, "application/json", map[string]bool{"pin_set": true})
}

// postSwitch switches the phone to another of its people.
func (s *Server) postSwitch(w http.ResponseWriter, r *http.Request) error {
	var in struct {
		Account newel.AccountID
		PIN     string
	}
	if ok, err := readJSON(w, r, fieldsOf(map[string]func(d *strict.Decoder) error{
		"account": func(d *strict.Decoder) error { return d.Parsed(&in.Account) },
		"pin":     func(d *strict.Decoder) error { return d.Text(&in.PIN) },
	})); !ok {
		return err
	}
	p, err := s.peopleOfPhone(r)
	if err != nil {
		return err
	}
	done := map[string]newel.AccountID{"account": in.Account}
	if p.current != nil && p.current.Account == in.Account {
		return writeJSON(w, http.StatusOK, "application/json", done)
	}
	i := slices.IndexFunc(p.others, func(k app.KnownPhone) bool { return k.Account == in.Account })
	if i < 0 {
		return newel.ErrNotFound
	}
	next := p.others[i]
	err = s.app.OpenPhone(r.Context(), next, in.PIN)
	if pin := (*app.PINError)(nil); errors.As(err, &pin) {
		if pin.Problem == app.PINRenew {
			p.others = slices.Delete(p.others, i, i+1)
			s.savePeople(w, r, p)
		}
		return notOpened(w, pin)
	}
	if err != nil {
		return err
	}
	p.others = slices.Delete(p.others, i, i+1)
	if err := s.lockCurrent(r, &p); err != nil {
		return err
	}
	p.current = &next
	if err := s.signOut(r); err != nil {
		return err
	}
	s.savePeople(w, r, p)
	return writeJSON(w, http.StatusOK, "application/json", done)
}

// postLock signs out the phone's current person; they come back with their PIN.
func (s *Server) postLock(w http.ResponseWriter, r *http.Request) error {
	var in struct {
		Force   bool // also without a PIN, which takes a new invitation to undo
		ForGood bool // also with a PIN: the phone forgets the person
	}
	if ok, err := readJSON(w, r, fieldsOf(map[string]func(d *strict.Decoder) error{
		"force":    func(d *strict.Decoder) error { return d.Boolean(&in.Force) },
		"for_good": func(d *strict.Decoder) error { return d.Boolean(&in.ForGood) },
	})); !ok {
		return err
	}
	p, err := s.peopleOfPhone(r)
	if err != nil {
		return err
	}
	switch {
	case p.current == nil:
	case p.current.PINSet && !in.ForGood:
		if err := s.lockCurrent(r, &p); err != nil {
			return err
		}
	case !in.Force && !in.ForGood:
		return notOpened(w, &app.PINError{Problem: app.PINNone})
	default:
		if err := s.app.LeavePhone(r.Context(), *p.current); err != nil {
			return err
		}
	}
	if err := s.signOut(r); err != nil {
		return err
	}
	p.current = nil
	s.savePeople(w, r, p)
	return writeJSON(w, http.StatusOK, "application/json", map[string]bool{"locked": true})
}
