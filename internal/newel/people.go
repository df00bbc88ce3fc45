package newel

import (
	"slices"
	"time"
)

// Clinic is one tenant of an installation.
type Clinic struct {
	ID       ClinicID
	Name     string
	TimeZone string // IANA
}

// Account is somebody who can sign in: staff with a password, a caregiver
// through a bound phone.
type Account struct {
	ID         AccountID
	Name       string
	Capacities []Capacity
	Active     bool
}

// Has reports whether the account holds the capacity.
func (a Account) Has(c Capacity) bool { return slices.Contains(a.Capacities, c) }

// Credential is how a staff account signs in. It is kept apart from the
// account so that nothing that lists accounts can leak it.
type Credential struct {
	Account      AccountID
	Clinic       ClinicID
	SignInName   string // e-mail address, compared without case
	PasswordHash string
	Epoch        int // sign-ins from before a change of password carry a smaller one
}

// Staff is one of the clinic's own people as the clinic sees them.
type Staff struct {
	Account
	SignInName  string // empty before the first administrator has chosen one
	HasPassword bool
	LinkID      *SetupLinkID // a set-up link that still works
	LinkEnds    *time.Time
}

// Standing is what an account may do at this moment, and for whom.
type Standing struct {
	Name       string
	Capacities []Capacity
	Active     bool
	Epoch      int // of the credential; 0 without one
	Families   []FamilyID
}

// Family is a household, or several that raise a learner together.
type Family struct {
	ID       FamilyID
	Name     string
	TimeZone string // IANA; decides on which date a session lies
	Language string // BCP 47
}

// Person is somebody of a family who may teach, with an account or without.
type Person struct {
	ID       PersonID
	FamilyID FamilyID
	Name     string
	Account  *AccountID // set once an invitation was used
}

// Learner is the child. Only a nickname and a birth month are kept.
type Learner struct {
	ID         LearnerID
	FamilyID   FamilyID
	Nickname   string
	BirthMonth Day // the first of the month; zero if not said
	Care       Care
	CareRev    int // raised by every change of Care, so that two editors notice each other
}

// Care is what everybody who teaches this learner must know first. It is
// asked before anything can be assigned.
type Care struct {
	Alerts    Alerts `json:"alerts"`
	StopSigns string `json:"stop_signs"` // how this child says no or enough, in plain words
	// TouchAllowed: light touch may be used as help. Off unless the family
	// and the supervisor agreed to it; never force, whatever is set here.
	TouchAllowed bool   `json:"touch_allowed"`
	HelpNotes    string `json:"help_notes"`
}

// Alerts are the four questions about health that are always asked. An
// answer is free text; Asked says that the question was put, so that an empty
// answer means "none known" and not "nobody asked".
type Alerts struct {
	Asked    bool   `json:"asked"`
	Allergy  string `json:"allergy"`
	Choking  string `json:"choking"`
	Seizure  string `json:"seizure"`
	Mouthing string `json:"mouthing"`
}

// ConsentKind is what somebody with parental authority agreed to.
type ConsentKind string

// The consents asked from the first day.
const (
	ConsentTeaching  ConsentKind = "teaching"  // being taught after the clinic's programs
	ConsentRecording ConsentKind = "recording" // keeping session records
	ConsentVideo     ConsentKind = "video"     // being filmed for the clinic's own people
)

// ConsentKinds lists what can be agreed to.
var ConsentKinds = []ConsentKind{ConsentTeaching, ConsentRecording, ConsentVideo}

// ConsentNeeded lists the consents without which nothing can be assigned.
var ConsentNeeded = []ConsentKind{ConsentTeaching, ConsentRecording}

// Consent is one agreement. It is never changed but by withdrawing it.
type Consent struct {
	ID          ConsentID
	FamilyID    FamilyID
	LearnerID   LearnerID
	Kind        ConsentKind
	GivenOn     Day
	GivenBy     string // who agreed: a name and their part, as told
	RecordedBy  AccountID
	WithdrawnOn Day
}

// ReadyToAssign says what is still missing before a program may be put on
// the learner, as keys of the message catalogue; nothing means ready.
func ReadyToAssign(care Care, consents []Consent) []string {
	var missing []string
	for _, kind := range ConsentNeeded {
		if !hasConsent(consents, kind) {
			missing = append(missing, "assign.missing.consent_"+string(kind))
		}
	}
	if !care.Alerts.Asked {
		missing = append(missing, "assign.missing.alerts")
	}
	if care.StopSigns == "" {
		missing = append(missing, "assign.missing.stop_signs")
	}
	return missing
}

func hasConsent(consents []Consent, kind ConsentKind) bool {
	for _, c := range consents {
		if c.Kind == kind && c.WithdrawnOn.IsZero() {
			return true
		}
	}
	return false
}

// SetupLinkDays is how long a set-up link works.
const SetupLinkDays = 7

// InvitationDays is how long an invitation link works.
const InvitationDays = 7

// Invitation is a link for one person of a family. It works once, for
// InvitationDays, until revoked; the link itself is never stored, only its
// hash.
type Invitation struct {
	ID         InvitationID
	FamilyID   FamilyID
	PersonID   PersonID
	ExpiresAt  time.Time
	CreatedBy  AccountID
	ConsumedAt *time.Time
	RevokedAt  *time.Time
}

// Usable reports whether the invitation still works at the given moment.
func (i Invitation) Usable(now time.Time) bool {
	return i.ConsumedAt == nil && i.RevokedAt == nil && now.Before(i.ExpiresAt)
}

// SetupLink lets a staff account choose its password. It works once.
type SetupLink struct {
	ID         SetupLinkID
	Clinic     ClinicID
	Account    AccountID
	ExpiresAt  time.Time
	ConsumedAt *time.Time
	RevokedAt  *time.Time
}

// Usable reports whether the link still works at the given moment.
func (l SetupLink) Usable(now time.Time) bool {
	return l.ConsumedAt == nil && l.RevokedAt == nil && now.Before(l.ExpiresAt)
}

// Device is a browser bound to an account by an invitation.
type Device struct {
	ID        DeviceID
	Account   AccountID
	Label     string // what the browser called itself, shortened
	CreatedAt time.Time
	SeenOn    Day
	RevokedAt *time.Time
}
