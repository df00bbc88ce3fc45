package httpd

import (
	"encoding/json"
	"net/http"
	"net/url"
	"time"

	"newel/internal/letter"
	"newel/internal/newel"
	"newel/internal/pgtest/tenants"
	"newel/internal/recording"
)

// fields returns a function that builds a form from names and values.
func fields(pairs ...string) func(tenants.Clinic, tenants.Family) url.Values {
	return func(tenants.Clinic, tenants.Family) url.Values {
		values := url.Values{}
		for i := 0; i+1 < len(pairs); i += 2 {
			values.Add(pairs[i], pairs[i+1])
		}
		return values
	}
}

// params fills in a pattern.
type params = map[string]func(tenants.Clinic, tenants.Family) string

var (
	theFamily     = params{"family": func(_ tenants.Clinic, f tenants.Family) string { return f.ID.String() }}
	theLearner    = params{"learner": func(_ tenants.Clinic, f tenants.Family) string { return f.Learner.String() }}
	thePerson     = params{"person": func(_ tenants.Clinic, f tenants.Family) string { return f.Free.String() }}
	thePlacement  = params{"placement": func(_ tenants.Clinic, f tenants.Family) string { return f.Placement.String() }}
	theTraining   = params{"family": theFamily["family"], "program": func(_ tenants.Clinic, f tenants.Family) string { return f.Program.String() }}
	theAssignment = params{"assignment": func(_ tenants.Clinic, f tenants.Family) string { return f.Assignment.String() }}
	theRecording  = params{"recording": func(_ tenants.Clinic, f tenants.Family) string { return f.Recording.String() }}
	theProgram    = params{"program": func(_ tenants.Clinic, f tenants.Family) string { return f.Program.String() }}
	theStep       = params{
		"program": theProgram["program"],
		"step":    func(_ tenants.Clinic, f tenants.Family) string { return f.StepOne },
	}
	theSpare      = params{"program": func(c tenants.Clinic, _ tenants.Family) string { return c.Spare.String() }}
	theColleague  = params{"account": func(_ tenants.Clinic, f tenants.Family) string { return f.Trainee.String() }}
	theNewcomer   = params{"account": func(c tenants.Clinic, _ tenants.Family) string { return c.Fresh.String() }}
	theInvitation = params{"invitation": func(_ tenants.Clinic, f tenants.Family) string { return f.Invitation.String() }}
	theDevice     = params{"device": func(_ tenants.Clinic, f tenants.Family) string { return f.Device.String() }}
	theConsent    = params{
		"learner": theLearner["learner"],
		"consent": func(_ tenants.Clinic, f tenants.Family) string { return f.Teaching.String() },
	}
	theIncident        = params{"incident": func(_ tenants.Clinic, f tenants.Family) string { return f.Incident.String() }}
	theLearnerIncident = params{"learner": theLearner["learner"], "incident": theIncident["incident"]}
	theReview          = params{"review": func(_ tenants.Clinic, f tenants.Family) string { return f.Review.String() }}
	theAction          = params{"action": func(_ tenants.Clinic, f tenants.Family) string { return f.Action.String() }}
	theQuestion        = params{"question": func(_ tenants.Clinic, f tenants.Family) string { return f.Unanswered.String() }}
	theDecision        = params{
		"placement": thePlacement["placement"],
		"decision":  func(_ tenants.Clinic, f tenants.Family) string { return f.Decision.String() },
	}
	theFidelity = params{
		"placement": thePlacement["placement"],
		"fidelity":  func(_ tenants.Clinic, f tenants.Family) string { return f.Fidelity.String() },
	}
	theHeld = params{
		"account":   func(_ tenants.Clinic, f tenants.Family) string { return f.Caregiver.String() },
		"recording": func(_ tenants.Clinic, f tenants.Family) string { return f.Quarantined.String() },
	}
	theSkill      = params{"skill": func(_ tenants.Clinic, f tenants.Family) string { return f.Skill.String() }}
	theScale      = params{"scale": func(_ tenants.Clinic, f tenants.Family) string { return f.HelpScale.String() }}
	thePicture    = params{"sha256": func(_ tenants.Clinic, f tenants.Family) string { return f.Picture() }}
	aNewRecording = params{"recording": func(tenants.Clinic, tenants.Family) string { return newRecording.String() }}
)

var newRecording = tenants.ID[newel.RecordingID]("sent over HTTP")

// delivery returns a document for the family's placement by the given author.
func delivery(_ tenants.Clinic, f tenants.Family, author newel.AccountID) (string, string) {
	d := tenants.Session{ID: newRecording, Placement: f.Placement, Author: author, By: f.Person, Mark: "sent", Target: f.Target}.Document()
	return recording.MediaType, string(d.Encode())
}

var (
	newTalk  = tenants.ID[newel.TalkID]("made over HTTP")
	newRead  = tenants.ID[newel.TrainingID]("read over HTTP")
	aNewRead = params{"read": func(tenants.Clinic, tenants.Family) string { return newRead.String() }}
	aNewTalk = params{"talk": func(tenants.Clinic, tenants.Family) string { return newTalk.String() }}
)

func aTalk(_ tenants.Clinic, f tenants.Family, _ newel.AccountID) (string, string) {
	return "application/json", `{"assignment": "` + f.Assignment.String() + `", "at": "2026-03-09T17:55:00+08:00"}`
}

var (
	newLetter  = tenants.ID[newel.LetterID]("written offline")
	aNewLetter = params{"letter": func(tenants.Clinic, tenants.Family) string { return newLetter.String() }}
)

func aLetter(_ tenants.Clinic, _ tenants.Family, author newel.AccountID) (string, string) {
	l := letter.Letter{Contract: letter.Contract, ID: newLetter.UUID, Author: author, Kind: letter.Message, At: time.Date(2026, 3, 9, 17, 55, 0, 0, time.UTC), Fields: map[string]string{"message": "It went well."}}
	body, err := json.Marshal(l)
	if err != nil {
		panic(err) // cannot happen: only texts
	}
	return letter.MediaType, string(body)
}

func aLine(_ tenants.Clinic, f tenants.Family, _ newel.AccountID) (string, string) {
	return "application/json", `{"assignment": "` + f.Assignment.String() + `", "at": "2026-03-09T17:55:00+08:00", "line": "She was tired"}`
}

func anEmptyRescue(tenants.Clinic, tenants.Family, newel.AccountID) (string, string) {
	return "application/json", `{"contract": 1, "sealed": []}`
}

func aNewPIN(tenants.Clinic, tenants.Family, newel.AccountID) (string, string) {
	return "application/json", `{"pin": "4711", "current": "` + tenants.Password + `"}`
}

const shownOnce = http.StatusOK // a page with a link that is shown only once

// probes has an entry for every route behind a permission.
var probes = map[string][]probe{
	"GET /password":  {{of: ofSelf}},
	"POST /password": {{of: ofSelf, form: fields("current", tenants.Password, "password", "quinces over wet slate", "again", "quinces over wet slate")}},

	"GET /people":                        {{of: ofSelf}},
	"GET /people/new":                    {{of: ofSelf}},
	"POST /people/new":                   {{of: ofSelf, want: shownOnce, form: fields("name", "New", "email", "new@example.org", "capacities", "trainee")}},
	"GET /people/{account}":              {{of: ofClinic, path: theColleague}},
	"POST /people/{account}":             {{of: ofClinic, path: theColleague, form: fields("name", "Other", "email", "other@example.org", "capacities", "trainee")}},
	"POST /people/{account}/link":        {{of: ofClinic, path: theNewcomer, want: shownOnce}},
	"POST /people/{account}/link/revoke": {{of: ofClinic, path: theNewcomer}},
	"POST /people/{account}/off":         {{of: ofClinic, path: theColleague}},
	"POST /people/{account}/on":          {{of: ofClinic, path: theColleague}},
	"GET /clinic":                        {{of: ofSelf}},
	"POST /clinic":                       {{of: ofSelf, form: fields("clinic", "Other", "time_zone", "UTC")}},

	"GET /families":                  {{of: ofSelf}},
	"GET /families/new":              {{of: ofSelf}},
	"POST /families/new":             {{of: ofSelf, form: fields("name", "New", "time_zone", "UTC", "language", "en")}},
	"GET /families/{family}":         {{path: theFamily}},
	"GET /families/{family}/edit":    {{path: theFamily}},
	"POST /families/{family}/edit":   {{path: theFamily, form: fields("name", "Other", "time_zone", "UTC", "language", "en")}},
	"POST /families/{family}/people": {{path: theFamily, form: fields("name", "New")}},
	"POST /families/{family}/caseload": {{path: theFamily, form: func(c tenants.Clinic, _ tenants.Family) url.Values {
		return url.Values{"account": {c.Families[1].Supervisor.String()}}
	}}},
	"POST /families/{family}/caseload/leave": {{path: theFamily, form: func(_ tenants.Clinic, f tenants.Family) url.Values {
		return url.Values{"account": {f.Trainee.String()}}
	}}},
	"GET /families/{family}/training/{program}": {{path: theTraining}},
	"POST /families/{family}/training/{program}": {{path: theTraining, form: func(_ tenants.Clinic, f tenants.Family) url.Values {
		return url.Values{"person": {f.Person.String()}, "state": {"alone"}}
	}}},
	"GET /persons/{person}":                                {{path: thePerson}},
	"POST /persons/{person}":                               {{path: thePerson, form: fields("name", "Other")}},
	"POST /persons/{person}/invite":                        {{path: thePerson, want: shownOnce}},
	"POST /invitations/{invitation}/revoke":                {{path: theInvitation}},
	"POST /devices/{device}/cut":                           {{path: theDevice}},
	"GET /families/{family}/learners/new":                  {{path: theFamily}},
	"POST /families/{family}/learners/new":                 {{path: theFamily, form: fields("nickname", "New", "birth_month", "2022-01")}},
	"GET /learners/{learner}":                              {{path: theLearner}},
	"GET /learners/{learner}/edit":                         {{path: theLearner}},
	"POST /learners/{learner}/edit":                        {{path: theLearner, form: fields("nickname", "Other", "birth_month", "")}},
	"GET /learners/{learner}/care":                         {{path: theLearner}},
	"POST /learners/{learner}/care":                        {{path: theLearner, form: fields("rev", "0", "asked", "yes", "stop_signs", "turns away")}},
	"GET /learners/{learner}/consents":                     {{path: theLearner}},
	"POST /learners/{learner}/consents":                    {{path: theLearner, want: http.StatusUnprocessableEntity, form: fields("kind", "teaching", "given_on", "2026-03-01", "given_by", "mother")}},
	"POST /learners/{learner}/consents/{consent}/withdraw": {{path: theConsent, form: fields("withdrawn_on", "2026-03-09")}},

	"GET /skills":                        {{of: ofSelf}},
	"POST /skills":                       {{of: ofSelf, form: fields("name", "Hops", "area", "")}},
	"GET /skills/map":                    {{of: ofSelf}},
	"GET /skills/{skill}":                {{of: ofClinic, path: theSkill}},
	"POST /skills/{skill}":               {{of: ofClinic, path: theSkill, form: fields("name", "Jumps", "area", "")}},
	"POST /skills/{skill}/archive":       {{of: ofClinic, path: theSkill}},
	"GET /help-scales":                   {{of: ofSelf}},
	"POST /help-scales":                  {{of: ofSelf, form: fields("name", "Steps", "levels", "point")}},
	"GET /help-scales/{scale}":           {{of: ofClinic, path: theScale}},
	"POST /help-scales/{scale}":          {{of: ofClinic, path: theScale, form: fields("name", "Steps", "levels", "point")}},
	"POST /help-scales/{scale}/archive":  {{of: ofClinic, path: theScale}},
	"GET /learners/{learner}/skills":     {{path: theLearner}},
	"GET /learners/{learner}/skills/map": {{path: theLearner}},
	"POST /learners/{learner}/skills": {{path: theLearner, form: func(_ tenants.Clinic, f tenants.Family) url.Values {
		return url.Values{"skill": {f.LibraryMark + " skill"}, "status": {"emerging"}, "on": {"2026-03-01"}}
	}}},

	"GET /programs":                           {{of: ofSelf}},
	"POST /programs":                          {{of: ofSelf, form: fields("title", "New", "skill_area", "")}},
	"GET /programs/new":                       {{of: ofSelf}},
	"GET /programs/{program}":                 {{of: ofClinic, path: theProgram}},
	"POST /programs/{program}/revise":         {{of: ofClinic, path: theSpare}},
	"GET /programs/{program}/draft":           {{of: ofClinic, path: theProgram}},
	"GET /programs/{program}/draft/criterion": {{of: ofClinic, path: theProgram}},
	"GET /programs/{program}/draft/ladder":    {{of: ofClinic, path: theProgram}},
	"POST /programs/{program}/draft/ladder": {{of: ofClinic, path: theProgram, form: func(_ tenants.Clinic, f tenants.Family) url.Values {
		return url.Values{"strand": {f.Strand}, "kind": {"massed"}, "lines": {"cup"}}
	}}},
	"GET /programs/{program}/draft/pictures": {{of: ofClinic, path: theProgram}},
	"POST /programs/{program}/draft/pictures": {{of: ofClinic, path: theProgram, form: func(_ tenants.Clinic, f tenants.Family) url.Values {
		return url.Values{"step": {f.StepOne}, "do": {"drop"}}
	}}},
	"POST /programs/{program}/draft": {
		{of: ofClinic, path: theProgram, form: fields("rev", "1", "title", "Other", "do", "save")},
		{
			of: ofClinic, path: theProgram, form: fields("rev", "1", "title", "Other", "do", "publish"), want: http.StatusUnprocessableEntity,
			narrower: map[newel.Capacity]string{newel.Trainee: "drafts, and needs sign-off"},
		},
	},

	"GET /programs/import":                        {{of: ofSelf}},
	"POST /programs/import":                       {{of: ofSelf, want: http.StatusUnprocessableEntity, form: fields("text", "no program")}},
	"POST /programs/starters":                     {{of: ofSelf, form: fields("name", "stop-and-go")}},
	"GET /programs/{program}/export":              {{of: ofClinic, path: theProgram}},
	"POST /programs/{program}/copy":               {{of: ofClinic, path: theProgram}},
	"POST /programs/{program}/archive":            {{of: ofClinic, path: theSpare}},
	"GET /programs/{program}/plain":               {{of: ofClinic, path: theProgram}},
	"GET /programs/{program}/steps/{step}/phone":  {{of: ofClinic, path: theStep}},
	"GET /programs/{program}/steps/{step}/replay": {{of: ofClinic, path: theStep}},
	"GET /placements/{placement}/replay":          {{path: thePlacement}},
	"GET /placements/{placement}/program":         {{path: thePlacement}},
	"GET /placements/{placement}/program/plain":   {{path: thePlacement}},
	"GET /programs/{program}/versions":            {{of: ofClinic, path: theProgram}},
	"GET /programs/{program}/compare":             {{of: ofClinic, path: theProgram}},
	"GET /assignments/{assignment}/version":       {{path: theAssignment}},
	"POST /assignments/{assignment}/version":      {{path: theAssignment, want: http.StatusUnprocessableEntity, form: fields("reason", "")}},

	"GET /caseload": {{of: ofSelf}},
	"POST /caseload/seen": {{of: ofSelf, form: func(_ tenants.Clinic, f tenants.Family) url.Values {
		return url.Values{"row": {f.Placement.String() + ":"}}
	}}},
	"GET /learners/{learner}/assign": {{path: theLearner}},
	"POST /learners/{learner}/assign": {{path: theLearner, form: func(c tenants.Clinic, _ tenants.Family) url.Values {
		return url.Values{"program": {c.Spare.String()}}
	}}},
	"GET /placements/{placement}/sheet": {{path: thePlacement}},
	"GET /placements/{placement}":       {{path: thePlacement}},
	"POST /placements/{placement}/decide": {
		{path: thePlacement, form: fields("kind", "seen", "after", "")},
		{path: thePlacement, form: fields("kind", "lift", "after", "", "agreed", "Two rounds only", "agreed_on", "2026-03-08", "no", ""), before: `update assignment set state = 'resting' where state = 'active'`},
	},
	"GET /progress/{placement}":            {{path: thePlacement}},
	"GET /caseload/live":                   {{of: ofSelf, want: http.StatusServiceUnavailable}}, // no hub: see newHouse
	"GET /placements/{placement}/live":     {{path: thePlacement, want: http.StatusServiceUnavailable}},
	"GET /placements/{placement}/branch":   {{path: thePlacement}},
	"GET /placements/{placement}/own":      {{path: thePlacement}},
	"POST /placements/{placement}/own":     {{path: thePlacement, form: fields("say", "Wash your hands, please", "reason", "fits better")}},
	"GET /placements/{placement}/ask":      {{path: thePlacement}},
	"POST /placements/{placement}/planned": {{path: thePlacement, form: fields("plan", "probe")}},
	"POST /placements/{placement}/ask":     {{path: thePlacement, form: fields("question", "What does he like best?")}},
	"GET /placements/{placement}/fidelity": {{path: thePlacement}},
	"POST /placements/{placement}/fidelity": {{path: thePlacement, form: func(_ tenants.Clinic, f tenants.Family) url.Values {
		return url.Values{"person": {f.Person.String()}, "taught_on": {"2026-03-01"}, "watched": {"call"}, "seen0": {"done"}}
	}}},
	"POST /placements/{placement}/fidelity/{fidelity}/withdraw": {{path: theFidelity}},
	"POST /placements/{placement}/decisions/{decision}/verdict": {{path: theDecision, form: fields("came", "true", "line", "")}},
	"GET /questions":                                {{of: ofSelf}},
	"POST /questions/{question}":                    {{path: theQuestion, form: fields("answer", "The blue car.")}},
	"GET /incidents":                                {{of: ofSelf}},
	"POST /incidents":                               {{of: ofSelf, form: fields("happened_on", "2026-03-01", "saw", "Fell on the stairs", "hurt", "no")}},
	"POST /incidents/{incident}":                    {{path: theIncident, form: fields("note", "It was the third stair.")}},
	"GET /learners/{learner}/incidents":             {{path: theLearner}},
	"POST /learners/{learner}/incidents":            {{path: theLearner, form: fields("happened_on", "2026-03-01", "saw", "Fell on the stairs", "hurt", "no")}},
	"POST /learners/{learner}/incidents/{incident}": {{path: theLearnerIncident, form: fields("note", "We call today.", "follows", "yes")}},
	"GET /families/{family}/messages":               {{path: theFamily}},
	"POST /families/{family}/messages":              {{path: theFamily, form: fields("message", "How did it go?")}},
	"POST /families/{family}/messages/read":         {{path: theFamily}},
	"GET /families/{family}/messages/live":          {{path: theFamily, want: http.StatusServiceUnavailable}},
	"GET /messages":                                 {{of: ofSelf}},
	"POST /messages":                                {{of: ofSelf, form: fields("message", "It went well.")}},
	"POST /messages/read":                           {{of: ofSelf}},
	"GET /messages/live":                            {{of: ofSelf, want: http.StatusServiceUnavailable}},
	"POST /learners/{learner}/reviews":              {{path: theLearner}},
	"GET /reviews/{review}":                         {{path: theReview}},
	"GET /reviews/{review}/live":                    {{path: theReview, want: http.StatusServiceUnavailable}},
	"POST /reviews/{review}/page":                   {{path: theReview, form: fields("page", "agreed")}},
	"POST /reviews/{review}/end":                    {{path: theReview}},
	"POST /reviews/{review}/actions":                {{path: theReview, form: fields("text", "Film one try", "whose", "family")}},
	"POST /actions/{action}":                        {{path: theAction, form: fields("outcome", "done")}},
	"GET /agreed":                                   {{of: ofSelf}},
	"POST /agreed/{action}":                         {{path: theAction, form: fields("outcome", "done")}},

	"GET /kits/{placement}": {{path: thePlacement}},

	"PUT /recordings/{recording}": {{
		path: aNewRecording, body: delivery, want: http.StatusCreated,
		quiet: "what a phone sends is stored, whatever it names, without revealing whether the placement exists",
	}},
	"GET /phone/day":               {{of: ofSelf}},
	"GET /phone/receipts":          {{of: ofSelf}},
	"GET /phone/pictures/{sha256}": {{of: ofClinic, path: thePicture}},
	"PUT /phone/letters/{letter}":  {{path: aNewLetter, body: aLetter, of: ofSelf, want: http.StatusOK}},
	"PUT /phone/talks/{talk}": {
		{path: aNewTalk, body: aTalk, want: http.StatusOK, before: `update assignment set state = 'resting' where state = 'active'`},
		{path: aNewTalk, body: aLine, want: http.StatusOK, before: `update assignment set state = 'resting' where state = 'active'`},
	},
	"PUT /phone/reads/{read}": {{path: aNewRead, body: aTalk, want: http.StatusOK, before: `delete from training`}},
	"POST /phone/rescue":      {{of: ofSelf, body: anEmptyRescue, want: http.StatusOK}},
	"POST /phone/pin":         {{of: ofSelf, body: aNewPIN, want: http.StatusOK}},

	"GET /recordings/{recording}":             {{path: theRecording}},
	"POST /recordings/{recording}/amendments": {{path: theRecording, form: fields("n", "2", "answer", "void", "reason", "tapped twice")}},
	"GET /quarantine":                         {{of: ofSelf}},
	"POST /quarantine/{account}/{recording}":  {{path: theHeld, form: fields("what", "set_aside")}},
}

// openDoors lists the public routes with the reason.
var openDoors = map[string]string{
	"GET /":                     "redirects to the start page",
	"GET /sign-in":              "the sign-in page",
	"POST /sign-in":             "the sign-in page",
	"POST /sign-out":            "does nothing without a sign-in",
	"GET /setup/{token}":        "the link is the key",
	"POST /setup/{token}":       "the link is the key",
	"GET /join/{token}":         "the link is the key",
	"POST /join/{token}":        "the link is the key",
	"GET /today":                "the same bytes for everyone; personal data come from /phone/day",
	"GET /teach/{placement}":    "the same shell",
	"GET /record/{placement}":   "the same shell",
	"GET /leave":                "the same shell",
	"GET /offline":              "the same bytes for everyone; the content comes from the phone itself",
	"GET /sw.js":                "a script without anything personal",
	"GET /manifest.webmanifest": "a name and an icon",
	"GET /phone/accounts":       "lists the people that the phone itself knows, by opaque ids and initials",
	"POST /phone/switch":        "the PIN is the key",
	"POST /phone/lock":          "signs out; does nothing without a sign-in",
	"GET /demo/{key}/{who}":     "only in a demo, whose key is in the address",
	"POST /demo/{key}/{who}":    "only in a demo, whose key is in the address",
}
