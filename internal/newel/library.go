package newel

// ProgramLearner is a learner within the actor's reach who is being taught a
// program, with one open step.
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
	Steps        []LearnerStep // of the strand, in this learner's version
	Met          []string      // keys of the steps left by an advance
}

// LearnerStep is a step of the learner's current strand.
type LearnerStep struct {
	Key    string `json:"key"`
	Label  string `json:"label"`
	Name   string `json:"name"`
	Helped bool   `json:"helped"`
}
