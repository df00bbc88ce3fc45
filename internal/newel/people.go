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

// Account is a person who can sign in: staff with a password, a caregiver with
// a linked phone.
type Account struct {
	ID         AccountID
	Name       string
	Capacities []Capacity
	Active     bool
}

// Has reports whether the account has the capacity.
func (a Account) Has(c Capacity) bool { return slices.Contains(a.Capacities, c) }

// Credential is how a staff account signs in. It is separate from Account so
// that code that lists accounts cannot leak it.
type Credential struct {
	Account      AccountID
	Clinic       ClinicID
	SignInName   string // email address, compared case-insensitively
	PasswordHash string
	Epoch        int // sessions from before a password change have a smaller one
}

// Staff is a member of the clinic's staff, as shown to the clinic.
type Staff struct {
	Account
	SignInName  string // empty before the first administrator has chosen one
	HasPassword bool
	LinkID      *SetupLinkID // a setup link that still works
	LinkEnds    *time.Time
}

// Standing is what an account may currently do, and for whom.
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
	TimeZone string // IANA; determines the date of a session
	Language string // BCP 47
}

// Person is a member of a family who may teach, with or without an account.
type Person struct {
	ID       PersonID
	FamilyID FamilyID
	Name     string
	Account  *AccountID // set once an invitation was used
}

// Learner is the child. Newel stores only a nickname and a birth month.
type Learner struct {
	ID         LearnerID
	FamilyID   FamilyID
	Nickname   string
	BirthMonth Day // the first of the month; zero if not stated
	Care       Care
	CareRev    int // incremented by every change of Care, to detect concurrent edits
}

// Care is what everyone who teaches this learner must know first. It must be
// filled in before anything can be assigned.
type Care struct {
	Alerts    Alerts `json:"alerts"`
	StopSigns string `json:"stop_signs"` // how this child says no or enough, in plain words
	// TouchAllowed: light touch may be used as a prompt. Off unless the family
	// and the supervisor have agreed to it; never force, whatever this says.
	TouchAllowed bool   `json:"touch_allowed"`
	HelpNotes    string `json:"help_notes"`
}

// Alerts are the four health questions that are always asked. An answer is free
// text; Asked records that the question was asked, so that an empty answer
// means "none known" rather than "not asked".
type Alerts struct {
	Asked    bool   `json:"asked"`
	Allergy  string `json:"allergy"`
	Choking  string `json:"choking"`
	Seizure  string `json:"seizure"`
	Mouthing string `json:"mouthing"`
}

// ConsentKind is what a person with parental authority consented to.
type ConsentKind string

// The kinds of consent.
const (
	ConsentTeaching  ConsentKind = "teaching"  // being taught with the clinic's programs
	ConsentRecording ConsentKind = "recording" // storing session records
	ConsentVideo     ConsentKind = "video"     // being filmed for the clinic's staff
)

// ConsentKinds lists the kinds of consent.
var ConsentKinds = []ConsentKind{ConsentTeaching, ConsentRecording, ConsentVideo}

// ConsentNeeded lists the consents without which nothing can be assigned.
var ConsentNeeded = []ConsentKind{ConsentTeaching, ConsentRecording}

// Consent is one consent. It never changes except by being withdrawn.
type Consent struct {
	ID          ConsentID
	FamilyID    FamilyID
	LearnerID   LearnerID
	Kind        ConsentKind
	GivenOn     Day
	GivenBy     string // who consented: name and relationship, as stated
	RecordedBy  AccountID
	WithdrawnOn Day
}

// ReadyToAssign returns what is still missing before a program can be assigned
// to the learner, as catalog keys; empty means ready.
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

// SetupLinkDays is how long a setup link is valid, in days.
const SetupLinkDays = 7

// InvitationDays is how long an invitation link is valid, in days.
const InvitationDays = 7

// Invitation is a link for one person of a family. It works once, within
// InvitationDays, unless revoked. Newel stores only a hash of the link, never
// the link itself.
type Invitation struct {
	ID         InvitationID
	FamilyID   FamilyID
	PersonID   PersonID
	ExpiresAt  time.Time
	CreatedBy  AccountID
	ConsumedAt *time.Time
	RevokedAt  *time.Time
}

// Usable reports whether the invitation is valid at the given time.
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

// Usable reports whether the link is valid at the given time.
func (l SetupLink) Usable(now time.Time) bool {
	return l.ConsumedAt == nil && l.RevokedAt == nil && now.Before(l.ExpiresAt)
}

// Device is a browser linked to an account by an invitation.
type Device struct {
	ID        DeviceID
	Account   AccountID
	Label     string // the browser's name for itself, shortened
	CreatedAt time.Time
	SeenOn    Day
	RevokedAt *time.Time
}
