package newel

// ProgramLearner is a learner in the actor's reach who has a program now, with
// one step that is open.
type ProgramLearner struct {
	LearnerID    LearnerID
	Learner      string
	AssignmentID AssignmentID
	PlacementID  PlacementID
	VersionID    VersionID
	StepKey      string
	StrandKey    string
	StepLabel    string
	Role         string
	Number       int           // of the version
	Steps        []LearnerStep // of the strand, in the version that this learner is taught by
	Climbed      []string      // keys of the steps that were left by an advance
}

// LearnerStep is a step of the strand that a learner stands in.
type LearnerStep struct {
	Key    string `json:"key"`
	Label  string `json:"label"`
	Name   string `json:"name"`
	Helped bool   `json:"helped"`
}
