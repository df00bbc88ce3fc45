// Package tenants fills a database with two clinics of two families each and
// rows in every table, so that tests can try to reach from one into another. It
// uses plain SQL and bypasses every policy. Every text that belongs to a family
// or clinic carries the owner's mark. Tests only.
//
// The rows are not written by the store, so that the store's methods are not
// tested on their own output. A test here fails for each table without rows.
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

// Now is the time at which the rows were created: links are still valid, and
// placements began a month ago.
var Now = time.Date(2026, time.March, 9, 10, 0, 0, 0, time.UTC)

// The password of every staff account, and its hash.
const (
	Password     = "plover bakes rhubarb tarts"
	PasswordHash = "$argon2id$v=19$m=19456,t=2,p=1$7VQdyQ8NGrq6X+RnOhepvA$+cb5i4iymw01VEO0w2TjctZut1qgRvPmDIqzH/lxGyI"
)

// World holds the two clinics.
type World struct{ Here, Elsewhere Clinic }

// Clinic is one of the clinics, with what belongs to none of its families.
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
	Lost                        newel.RecordingID // quarantined, for an unknown placement
	PhoneKey                    newel.PhoneKeyID
	Families                    [2]Family
}

// Family is one family with its people, the staff who look after only it, and a
// program that only its learner has.
type Family struct {
	Clinic                                      newel.ClinicID
	ID                                          newel.FamilyID
	Mark                                        string // in every text about the family and its learner
	AccountMark                                 string // in the names of accounts, which staff may see
	LibraryMark                                 string // in its program, which staff may see
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
	Past, Placement                             newel.PlacementID  // on step one, ended; on step two, open
	Finished                                    newel.AssignmentID // of the same program, earlier
	Last                                        newel.PlacementID  // of Finished
	Recording                                   newel.RecordingID  // closed
	Running                                     newel.RecordingID  // still open
	Quarantined                                 newel.RecordingID  // in quarantine, sent by Caregiver for Placement
	Amendment                                   newel.AmendmentID
	Decision                                    newel.DecisionID
	Verdict                                     newel.VerdictID
	Talk                                        newel.TalkID
	Skill                                       newel.SkillID // taught by its program
	SkillNote                                   newel.SkillNoteID
	HelpScale                                   newel.HelpScaleID // created by its supervisor
	Training                                    newel.TrainingID  // of Person, with Program
	Fidelity                                    newel.FidelityID  // of Person, at Placement
	Review                                      newel.ReviewID    // in progress, open at Placement
	Action, ClinicAction                        newel.ActionID    // agreed in the review: one for the family, one for the clinic
	ToClinic, ToFamily                          newel.MessageID   // unread
	Incident                                    newel.IncidentID  // without a response from the clinic
	Branch                                      newel.VersionID   // made for this learner only
	Question, Unanswered                        newel.QuestionID
	Sent                                        uuid.UUID // the token of a form that Caregiver has sent
	StepOne, StepTwo, Strand, Target, HelpLevel string
}

// New returns a new database with everything in it.
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

// programKey changes with the test program, and so with the code that creates
// the rows.
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

// fill writes all rows, as the role that bypasses the policies.
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

// ID returns the same id for the same kind and name every time. It has version
// 7, like all of Newel's ids.
func ID[I newel.ID[K], K any](name string) I {
	sum := sha256.Sum256(fmt.Appendf(nil, "%T %s", I{}, name))
	u := uuid.UUID(sum[:16])
	u[6], u[8] = u[6]&0x0f|0x70, u[8]&0x3f|0x80
	return I{UUID: u}
}

// Scope returns the scope of the family's caregiver.
func (f Family) Scope() newel.Scope {
	return newel.Scope{Clinic: f.Clinic, Account: f.Caregiver, Families: []newel.FamilyID{f.ID}}
}

// SupervisorScope returns the scope of the supervisor who has only this family.
func (f Family) SupervisorScope() newel.Scope {
	return newel.Scope{Clinic: f.Clinic, Account: f.Supervisor, Staff: true, Families: []newel.FamilyID{f.ID}}
}

// LeadScope returns the scope of a lead of the clinic.
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
		Finished: ID[newel.AssignmentID](name + " finished"), Last: ID[newel.PlacementID](name + " last"),
		Past: ID[newel.PlacementID](name + " past"), Placement: ID[newel.PlacementID](name + " now"),
		Recording: ID[newel.RecordingID](name + " closed"), Running: ID[newel.RecordingID](name + " running"),
		Quarantined: ID[newel.RecordingID](name + " held"), Amendment: ID[newel.AmendmentID](name),
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

// Picture returns the hash of the picture on step two of the family's program.
func (f Family) Picture() string {
	sum := sha256.Sum256([]byte(f.LibraryMark + " picture"))
	return hex.EncodeToString(sum[:])
}
