// Package tenants fills a database, by plain SQL past every policy, with two
// clinics of two families each and rows in every table, so that tests can try
// to reach from one into the other. Every text that is somebody's carries a
// mark of whose it is. Tests only.
//
// The rows are made by hand and not by the store, so that what the store's
// methods are tried on does not come from themselves; a table that has none
// fails a test here.
package tenants

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"net/url"
	"os"
	"sync"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"newel/internal/newel"
	"newel/internal/pgtest"
	"newel/migrations"
)

// Now is the moment at which the rows were made: links still work, and
// placements have begun a month ago.
var Now = time.Date(2026, time.March, 9, 10, 0, 0, 0, time.UTC)

// The password of every account of the staff, and what is kept of it.
const (
	Password     = "plover bakes rhubarb tarts"
	PasswordHash = "$argon2id$v=19$m=19456,t=2,p=1$7VQdyQ8NGrq6X+RnOhepvA$+cb5i4iymw01VEO0w2TjctZut1qgRvPmDIqzH/lxGyI"
)

// World is all that was filled in.
type World struct{ Here, Elsewhere Clinic }

// Clinic is one of the clinics with what belongs to no family of it.
type Clinic struct {
	ID                          newel.ClinicID
	Mark                        string
	Administrator, Lead, Office newel.AccountID
	Fresh                       newel.AccountID // staff with a set-up link and no password yet
	SetupLink                   newel.SetupLinkID
	SetupToken                  string
	Unwritten                   newel.ProgramID // a program with a draft and no version
	Spare                       newel.ProgramID // published, on no learner
	SpareVersion                newel.VersionID
	Tombstone                   newel.RecordingID
	Lost                        newel.RecordingID // quarantined, for a placement that nobody knows
	PhoneKey                    newel.PhoneKeyID
	Families                    [2]Family
}

// Family is one family with its people, the staff who look after it alone,
// and a program that its learner alone has.
type Family struct {
	Clinic                                      newel.ClinicID
	ID                                          newel.FamilyID
	Mark                                        string // in every text about the family and its learner
	AccountMark                                 string // in the names of accounts, which the clinic's own people may see
	LibraryMark                                 string // in its program, which the clinic's own people may see
	Caregiver, Supervisor, Trainee              newel.AccountID
	Person                                      newel.PersonID // tied to Caregiver
	Free                                        newel.PersonID // invited, no account yet
	Learner                                     newel.LearnerID
	Teaching, Recorded                          newel.ConsentID
	Invitation                                  newel.InvitationID
	InvitationToken                             string
	Device                                      newel.DeviceID
	DeviceToken                                 string
	Program                                     newel.ProgramID
	Version                                     newel.VersionID
	Assignment                                  newel.AssignmentID
	Past, Placement                             newel.PlacementID // on step one, ended; on step two, open
	Recording                                   newel.RecordingID // closed
	Running                                     newel.RecordingID // still open
	Held                                        newel.RecordingID // in quarantine, sent by Caregiver for Placement
	Amendment                                   newel.AmendmentID
	Decision                                    newel.DecisionID
	Verdict                                     newel.VerdictID
	Talk                                        newel.TalkID
	Skill                                       newel.SkillID // that its program teaches
	SkillNote                                   newel.SkillNoteID
	HelpScale                                   newel.HelpScaleID // that its supervisor made
	Training                                    newel.TrainingID  // of Person, with Program
	Fidelity                                    newel.FidelityID  // of Person, at Placement
	Review                                      newel.ReviewID    // goes on, open at Placement
	Action, ClinicAction                        newel.ActionID    // agreed in it, the family's to do and the clinic's
	ToClinic, ToFamily                          newel.MessageID   // that nobody has read
	Incident                                    newel.IncidentID  // of which the clinic has not said what follows
	Branch                                      newel.VersionID   // cut for the learner alone
	Question, Unanswered                        newel.QuestionID
	Sent                                        uuid.UUID // the token of a form that Caregiver has sent
	StepOne, StepTwo, Strand, Target, HelpLevel string
}

// New gives a test a database of its own with everything in it.
func New(t testing.TB) (*pgtest.DB, World) {
	t.Helper()
	key, err := programKey()
	if err != nil {
		t.Fatalf("tenants: %v", err)
	}
	db := pgtest.NewWith(t, pgtest.Template{Key: "tenants " + key, Migrate: func(ctx context.Context, ownerURL string) error {
		if err := migrations.Up(ctx, ownerURL); err != nil {
			return err
		}
		return fill(ctx, ownerURL)
	}})
	return db, world()
}

// programKey changes with the test program, and so with all that the rows are
// made by.
var programKey = sync.OnceValues(func() (string, error) {
	self, err := os.Executable()
	if err != nil {
		return "", err
	}
	f, err := os.Open(self)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
})

// fill writes everything as the role that is past the policies.
func fill(ctx context.Context, ownerURL string) error {
	u, err := url.Parse(ownerURL)
	if err != nil {
		return err
	}
	u.User = url.User(pgtest.RoleBypass)
	conn, err := pgx.Connect(ctx, u.String())
	if err != nil {
		return err
	}
	f := &filler{ctx: ctx, db: conn}
	w := world()
	for _, c := range []Clinic{w.Here, w.Elsewhere} {
		f.clinic(c)
		for _, family := range c.Families {
			f.family(c, family)
		}
	}
	f.stamp()
	return errors.Join(f.err, conn.Close(ctx))
}

func world() World { return World{Here: clinic("h"), Elsewhere: clinic("e")} }

// ID makes the same id for the same kind and name every time, of version 7
// like all of Newel's.
func ID[I newel.ID[K], K any](name string) I {
	sum := sha256.Sum256(fmt.Appendf(nil, "%T %s", I{}, name))
	u := uuid.UUID(sum[:16])
	u[6], u[8] = u[6]&0x0f|0x70, u[8]&0x3f|0x80
	return I{UUID: u}
}

// Scope is what a caregiver of the family may see.
func (f Family) Scope() newel.Scope {
	return newel.Scope{Clinic: f.Clinic, Account: f.Caregiver, Families: []newel.FamilyID{f.ID}}
}

// SupervisorScope is what the supervisor who has this family alone may see.
func (f Family) SupervisorScope() newel.Scope {
	return newel.Scope{Clinic: f.Clinic, Account: f.Supervisor, Staff: true, Families: []newel.FamilyID{f.ID}}
}

// LeadScope is what a lead of the clinic may see.
func (c Clinic) LeadScope() newel.Scope {
	return newel.Scope{Clinic: c.ID, Account: c.Lead, Staff: true, WholeClinic: true}
}

func clinic(name string) Clinic {
	c := Clinic{
		ID: ID[newel.ClinicID](name), Mark: "zzclinic" + name,
		Administrator: ID[newel.AccountID](name + " administrator"), Lead: ID[newel.AccountID](name + " lead"),
		Office: ID[newel.AccountID](name + " office"), Fresh: ID[newel.AccountID](name + " fresh"),
		SetupLink: ID[newel.SetupLinkID](name + " set-up"), SetupToken: "set-up-" + name,
		Unwritten: ID[newel.ProgramID](name + " unwritten"), Spare: ID[newel.ProgramID](name + " spare"),
		SpareVersion: ID[newel.VersionID](name + " spare"), Tombstone: ID[newel.RecordingID](name + " erased"),
		Lost: ID[newel.RecordingID](name + " lost"), PhoneKey: ID[newel.PhoneKeyID](name),
	}
	for i, family := range []string{name + "1", name + "2"} {
		c.Families[i] = familyOf(c.ID, family)
	}
	return c
}

func familyOf(clinic newel.ClinicID, name string) Family {
	return Family{
		Clinic: clinic, ID: ID[newel.FamilyID](name),
		Mark: "zzfamily" + name, AccountMark: "zzaccount" + name, LibraryMark: "zzprogram" + name,
		Caregiver: ID[newel.AccountID](name + " caregiver"), Supervisor: ID[newel.AccountID](name + " supervisor"),
		Trainee: ID[newel.AccountID](name + " trainee"),
		Person:  ID[newel.PersonID](name + " tied"), Free: ID[newel.PersonID](name + " free"),
		Learner:  ID[newel.LearnerID](name),
		Teaching: ID[newel.ConsentID](name + " teaching"), Recorded: ID[newel.ConsentID](name + " recording"),
		Invitation: ID[newel.InvitationID](name), InvitationToken: "invitation-" + name,
		Device: ID[newel.DeviceID](name), DeviceToken: "device-" + name,
		Program: ID[newel.ProgramID](name), Version: ID[newel.VersionID](name), Assignment: ID[newel.AssignmentID](name),
		Past: ID[newel.PlacementID](name + " past"), Placement: ID[newel.PlacementID](name + " now"),
		Recording: ID[newel.RecordingID](name + " closed"), Running: ID[newel.RecordingID](name + " running"),
		Held: ID[newel.RecordingID](name + " held"), Amendment: ID[newel.AmendmentID](name),
		Decision: ID[newel.DecisionID](name), Verdict: ID[newel.VerdictID](name), Talk: ID[newel.TalkID](name),
		Skill: ID[newel.SkillID](name), SkillNote: ID[newel.SkillNoteID](name), HelpScale: ID[newel.HelpScaleID](name),
		Training: ID[newel.TrainingID](name), Fidelity: ID[newel.FidelityID](name),
		Review: ID[newel.ReviewID](name), Action: ID[newel.ActionID](name), ClinicAction: ID[newel.ActionID](name + " clinic"),
		ToClinic: ID[newel.MessageID](name + " to the clinic"), ToFamily: ID[newel.MessageID](name + " to the family"), Incident: ID[newel.IncidentID](name),
		Branch: ID[newel.VersionID](name + " branch"), Question: ID[newel.QuestionID](name), Unanswered: ID[newel.QuestionID](name + " open"),
		Sent:    ID[newel.ProgramID](name + " form").UUID,
		StepOne: "one" + name, StepTwo: "two" + name, Strand: "strand" + name, Target: "ball", HelpLevel: "gesture",
	}
}

// Picture is the hash of the picture on step two of the family's program.
func (f Family) Picture() string {
	sum := sha256.Sum256([]byte(f.LibraryMark + " picture"))
	return hex.EncodeToString(sum[:])
}
