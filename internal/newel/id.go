package newel

import (
	"fmt"

	"github.com/google/uuid"
)

// ID identifies one entity of kind K within a clinic. Ids are UUIDs of
// version 7 (RFC 9562), made by whoever creates the entity, so that a phone
// can name a recording before the server has seen it. K only keeps the ids of
// different kinds apart at compile time.
type ID[K any] struct{ uuid.UUID }

// The kinds of id. Their type parameters are never instantiated.
type (
	clinicKind     struct{}
	accountKind    struct{}
	deviceKind     struct{}
	familyKind     struct{}
	personKind     struct{}
	learnerKind    struct{}
	consentKind    struct{}
	invitationKind struct{}
	setupLinkKind  struct{}
	programKind    struct{}
	versionKind    struct{}
	assignmentKind struct{}
	placementKind  struct{}
	recordingKind  struct{}
	amendmentKind  struct{}
	decisionKind   struct{}
	talkKind       struct{}
	phoneKeyKind   struct{}
	questionKind   struct{}
	verdictKind    struct{}
	skillKind      struct{}
	skillNoteKind  struct{}
	helpScaleKind  struct{}
	trainingKind   struct{}
	fidelityKind   struct{}
	reviewKind     struct{}
	actionKind     struct{}
	messageKind    struct{}
	incidentKind   struct{}

	ClinicID     = ID[clinicKind]
	AccountID    = ID[accountKind]
	DeviceID     = ID[deviceKind]
	FamilyID     = ID[familyKind]
	PersonID     = ID[personKind]
	LearnerID    = ID[learnerKind]
	ConsentID    = ID[consentKind]
	InvitationID = ID[invitationKind]
	SetupLinkID  = ID[setupLinkKind]
	ProgramID    = ID[programKind]
	VersionID    = ID[versionKind]
	AssignmentID = ID[assignmentKind]
	PlacementID  = ID[placementKind]
	RecordingID  = ID[recordingKind]
	AmendmentID  = ID[amendmentKind]
	DecisionID   = ID[decisionKind]
	TalkID       = ID[talkKind]
	PhoneKeyID   = ID[phoneKeyKind]
	QuestionID   = ID[questionKind]
	VerdictID    = ID[verdictKind]
	SkillID      = ID[skillKind]
	SkillNoteID  = ID[skillNoteKind]
	HelpScaleID  = ID[helpScaleKind]
	TrainingID   = ID[trainingKind]
	FidelityID   = ID[fidelityKind]
	ReviewID     = ID[reviewKind]
	ActionID     = ID[actionKind]
	MessageID    = ID[messageKind]
	IncidentID   = ID[incidentKind]
)

// NewID makes a fresh id: time-ordered, so that rows made together lie
// together in an index. It panics only if the system has no randomness left,
// as crypto/rand does.
func NewID[I ID[K], K any]() I {
	return I{uuid.Must(uuid.NewV7())}
}

// ParseID reads an id from text such as a URL part. The error is of kind
// NotFound, so that a malformed id and an unknown one look the same outside.
func ParseID[I ID[K], K any](text string) (I, error) {
	u, err := uuid.Parse(text)
	if err != nil || len(text) != 36 {
		return I{}, fmt.Errorf("id %q: %w", text, ErrNotFound)
	}
	return I{u}, nil
}

// IsZero reports whether the id was never set.
func (id ID[K]) IsZero() bool { return id.UUID == uuid.Nil }
