package href

import "newel/internal/newel"

// The clinic and its staff.
const (
	Clinic    = "/clinic"
	People    = "/people"
	NewPerson = "/people/new"

	StaffMember    One[newel.AccountID] = "/people/{account}"
	StaffLink      One[newel.AccountID] = "/people/{account}/link"
	StaffLinkEnd   One[newel.AccountID] = "/people/{account}/link/revoke"
	StaffSwitchOff One[newel.AccountID] = "/people/{account}/off"
	StaffSwitchOn  One[newel.AccountID] = "/people/{account}/on"
)

// Families and their members.
const (
	Families  = "/families"
	NewFamily = "/families/new"

	Family              One[newel.FamilyID]                  = "/families/{family}"
	FamilyEdit          One[newel.FamilyID]                  = "/families/{family}/edit"
	FamilyPeople        One[newel.FamilyID]                  = "/families/{family}/people"
	FamilyCaseload      One[newel.FamilyID]                  = "/families/{family}/caseload"
	FamilyCaseloadLeave One[newel.FamilyID]                  = "/families/{family}/caseload/leave"
	FamilyNewLearner    One[newel.FamilyID]                  = "/families/{family}/learners/new"
	FamilyMessages      One[newel.FamilyID]                  = "/families/{family}/messages"
	FamilyMessagesLive  One[newel.FamilyID]                  = FamilyMessages + live
	FamilyMessagesRead  One[newel.FamilyID]                  = "/families/{family}/messages/read"
	FamilyTraining      Two[newel.FamilyID, newel.ProgramID] = "/families/{family}/training/{program}"

	Person           One[newel.PersonID]     = "/persons/{person}"
	PersonInvite     One[newel.PersonID]     = "/persons/{person}/invite"
	InvitationRevoke One[newel.InvitationID] = "/invitations/{invitation}/revoke"
	DeviceRevoke     One[newel.DeviceID]     = "/devices/{device}/cut"
)

// Learners.
const (
	Learner                One[newel.LearnerID]                   = "/learners/{learner}"
	LearnerEdit            One[newel.LearnerID]                   = "/learners/{learner}/edit"
	LearnerCare            One[newel.LearnerID]                   = "/learners/{learner}/care"
	LearnerConsents        One[newel.LearnerID]                   = "/learners/{learner}/consents"
	LearnerConsentWithdraw Two[newel.LearnerID, newel.ConsentID]  = "/learners/{learner}/consents/{consent}/withdraw"
	LearnerAssign          One[newel.LearnerID]                   = "/learners/{learner}/assign"
	LearnerSkills          One[newel.LearnerID]                   = "/learners/{learner}/skills"
	LearnerSkillMap        One[newel.LearnerID]                   = "/learners/{learner}/skills/map"
	LearnerReviews         One[newel.LearnerID]                   = "/learners/{learner}/reviews"
	LearnerIncidents       One[newel.LearnerID]                   = "/learners/{learner}/incidents"
	LearnerIncident        Two[newel.LearnerID, newel.IncidentID] = "/learners/{learner}/incidents/{incident}"
)

// AssignProgram returns the page that assigns a program of the library to a
// learner.
func AssignProgram(learner newel.LearnerID, program newel.ProgramID) string {
	return Query(LearnerAssign.To(learner), "program", program.String())
}

// LearnerSkill returns the form that records a learner's status for a skill.
func LearnerSkill(learner newel.LearnerID, skill newel.SkillID) string {
	return Query(LearnerSkills.To(learner), "skill", skill.String()) + "#note"
}

// LearnerReviewList returns the part of a learner's page that lists reviews.
func LearnerReviewList(id newel.LearnerID) string { return Learner.To(id) + "#reviews" }
