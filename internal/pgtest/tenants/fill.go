package tenants

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"newel/internal/account"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/recording"
)

// row is one row to insert, by column.
type row map[string]any

// filler writes rows until one fails.
type filler struct {
	ctx context.Context
	db  *pgx.Conn
	err error
}

func (f *filler) put(table string, r row) {
	if f.err != nil {
		return
	}
	columns := slices.Sorted(maps.Keys(r))
	marks, values := make([]string, len(columns)), make([]any, len(columns))
	for i, c := range columns {
		marks[i], values[i] = fmt.Sprintf("$%d", i+1), r[c]
		switch v := r[c].(type) {
		case recording.State:
			values[i] = f.json(v)
		case asJSON:
			values[i] = f.json(v.v)
		}
	}
	_, err := f.db.Exec(f.ctx, fmt.Sprintf(`insert into %s (%s) values (%s)`,
		table, strings.Join(columns, ", "), strings.Join(marks, ", ")), values...)
	if err != nil {
		f.err = fmt.Errorf("fill %s: %w", table, err)
	}
}

// stamp replaces times that the database set from its own clock with Now, so
// that the rows are always the same.
func (f *filler) stamp() {
	if f.err != nil {
		return
	}
	_, err := f.db.Exec(f.ctx, fmt.Sprintf(`do $$
		declare c record;
		begin
			for c in select attrelid::regclass as name, attname from pg_attribute a join pg_attrdef d on d.adrelid = a.attrelid and d.adnum = a.attnum
				where pg_get_expr(d.adbin, d.adrelid) = 'now()' and attrelid::regclass::text <> 'goose_db_version' loop
				execute format('update %%s set %%I = %%L where %%I > %%L', c.name, c.attname, '%[1]s', c.attname, '%[1]s');
			end loop;
		end $$`, Now.Format(time.RFC3339)))
	f.keep(err)
}

// keep remembers the first error.
func (f *filler) keep(err error) {
	if f.err == nil {
		f.err = err
	}
}

// asJSON marks a value that goes into a column of JSON.
type asJSON struct{ v any }

func (f *filler) json(v any) string {
	b, err := json.Marshal(v)
	f.keep(err)
	return string(b)
}

// ago returns the time days before Now.
func ago(days int) time.Time { return Now.AddDate(0, 0, -days) }

func dayAgo(days int) newel.Day { return newel.DayOf(ago(days), time.UTC) }

func (f *filler) clinic(c Clinic) {
	f.put("clinic", row{"id": c.ID, "name": c.Mark + " clinic", "time_zone": "UTC"})
	for _, a := range []struct {
		id       newel.AccountID
		capacity newel.Capacity
	}{{c.Administrator, newel.Administrator}, {c.Lead, newel.Lead}, {c.Office, newel.Office}} {
		f.staff(c.ID, a.id, c.Mark, a.capacity)
	}
	f.put("account", row{"clinic_id": c.ID, "id": c.Fresh, "name": c.Mark + " fresh", "capacities": []string{"trainee"}})
	f.put("credential", row{"clinic_id": c.ID, "account_id": c.Fresh, "sign_in_name": c.Mark + "fresh@example.org", "password_hash": ""})
	f.put("setup_link", row{
		"clinic_id": c.ID, "id": c.SetupLink, "account_id": c.Fresh, "token_hash": account.TokenHash(c.SetupToken),
		"created_at": ago(1), "expires_at": ago(-3),
	})
	f.put("program", row{"clinic_id": c.ID, "id": c.Unwritten, "title": c.Mark + " unwritten", "skill_area": c.Mark + " area", "created_by": c.Lead})
	f.put("draft", row{"clinic_id": c.ID, "program_id": c.Unwritten, "document": asJSON{document(c.Mark, "one", "two", "strand")}, "updated_by": c.Lead})
	f.program(c.ID, c.Lead, c.Spare, c.SpareVersion, document(c.Mark, "spareone", "sparetwo", "spare"))
	f.put("tombstone", row{"clinic_id": c.ID, "id": c.Tombstone, "erased_at": ago(2)})
	f.put("audit", row{"clinic_id": c.ID, "id": c.ID, "at": ago(1), "account_id": c.Lead, "deed": "clinic.add", "subject": c.ID})
	scalar := sha256.Sum256([]byte("phone key of " + c.Mark))
	f.put("phone_key", row{"clinic_id": c.ID, "id": c.PhoneKey, "private_key": scalar[:], "made_at": ago(30)})
	f.quarantine(c.ID, c.Lead, c.Lost, ID[newel.PlacementID](c.Mark+" unknown"), c.Mark, "ball")
}

func (f *filler) staff(clinic newel.ClinicID, id newel.AccountID, mark string, capacity newel.Capacity) {
	f.put("account", row{"clinic_id": clinic, "id": id, "name": mark + " " + string(capacity), "capacities": []string{string(capacity)}})
	f.put("credential", row{
		"clinic_id": clinic, "account_id": id, "sign_in_name": mark + string(capacity) + "@example.org", "password_hash": PasswordHash,
	})
}

// program adds a published program to the library.
func (f *filler) program(clinic newel.ClinicID, by newel.AccountID, id newel.ProgramID, version newel.VersionID, d program.Document) {
	hash, err := d.Hash()
	f.keep(err)
	f.put("program", row{"clinic_id": clinic, "id": id, "title": d.Title, "skill_area": d.SkillArea, "created_by": by})
	f.put("version", row{"clinic_id": clinic, "id": version, "program_id": id, "number": 1, "document": asJSON{d}, "hash": hash, "published_by": by})
	for _, s := range d.StepRows(version) {
		f.put("step", row{
			"clinic_id": clinic, "version_id": version, "key": s.Key, "strand": s.Strand, "role": s.Role,
			"place": s.Place, "label": s.Label, "name": s.Name, "helped": s.Helped,
		})
	}
}

func (f *filler) family(c Clinic, y Family) {
	own := func(r row) row { r["clinic_id"], r["family_id"] = c.ID, y.ID; return r }
	f.put("family", row{"clinic_id": c.ID, "id": y.ID, "name": y.Mark + " family", "time_zone": "Asia/Kuala_Lumpur", "language": "en"})
	f.staff(c.ID, y.Supervisor, y.AccountMark, newel.Supervisor)
	f.staff(c.ID, y.Trainee, y.AccountMark, newel.Trainee)
	f.put("account", row{"clinic_id": c.ID, "id": y.Caregiver, "name": y.AccountMark + " caregiver", "capacities": []string{"caregiver"}})
	for _, id := range []newel.AccountID{y.Supervisor, y.Trainee} {
		f.put("caseload", own(row{"account_id": id}))
	}
	f.put("person", own(row{"id": y.Person, "name": y.Mark + " tied", "account_id": y.Caregiver}))
	f.put("person", own(row{"id": y.Free, "name": y.Mark + " free"}))
	f.put("learner", own(row{"id": y.Learner, "nickname": y.Mark + " learner", "birth_month": "2021-05-01", "care": asJSON{care(y.Mark)}}))
	for id, kind := range map[newel.ConsentID]string{y.Teaching: "teaching", y.Recorded: "recording"} {
		f.put("consent", own(row{"id": id, "learner_id": y.Learner, "kind": kind, "given_on": dayAgo(40), "given_by": y.Mark + " mother", "recorded_by": y.Supervisor}))
	}
	f.put("invitation", own(row{
		"id": y.Invitation, "person_id": y.Free, "token_hash": account.TokenHash(y.InvitationToken), "created_by": y.Supervisor,
		"created_at": ago(1), "expires_at": ago(-6),
	}))
	f.put("device", row{
		"clinic_id": c.ID, "id": y.Device, "account_id": y.Caregiver, "token_hash": account.TokenHash(y.DeviceToken),
		"label": y.Mark + " phone", "created_at": ago(30), "seen_on": dayAgo(0), "pin_hash": PasswordHash,
	})
	f.put("form_sent", row{"clinic_id": c.ID, "account_id": y.Caregiver, "token": y.Sent, "location": "/" + y.Mark, "sent_at": ago(1)})
	f.put("audit", own(row{"id": y.ID, "at": ago(1), "account_id": y.Supervisor, "deed": "family.add", "subject": y.ID}))
	f.program(c.ID, y.Supervisor, y.Program, y.Version, document(y.LibraryMark, y.StepOne, y.StepTwo, y.Strand))
	body := []byte(y.LibraryMark + " picture")
	sum := sha256.Sum256(body)
	f.put("picture", row{
		"clinic_id": c.ID, "sha256": sum[:], "kind": newel.PNG, "width": 1, "height": 1, "body": body, "made_by": y.Supervisor, "made_at": ago(30),
	})
	f.put("step_picture", row{"clinic_id": c.ID, "version_id": y.Version, "step_key": y.StepTwo, "sha256": sum[:]})
	unused := sha256.Sum256([]byte(y.LibraryMark + " unused"))
	f.put("picture", row{
		"clinic_id": c.ID, "sha256": unused[:], "kind": newel.PNG, "width": 1, "height": 1, "body": []byte(y.LibraryMark + " unused"),
		"made_by": y.Supervisor, "made_at": ago(30),
	})
	f.put("draft", row{
		"clinic_id": c.ID, "program_id": y.Program, "document": asJSON{document(y.LibraryMark, y.StepOne, y.StepTwo, y.Strand)},
		"updated_by": y.Supervisor,
	})
	f.put("draft_state", row{
		"clinic_id": c.ID, "program_id": y.Program, "rev": 1, "document": asJSON{document(y.LibraryMark, y.StepOne, y.StepTwo, y.Strand)},
		"edited_by": y.Supervisor, "edited_at": ago(2), "since": ago(2),
	})
	f.teaching(c, y, own)
	f.skill(c, y, own)
}

// skill adds the skill that the family's program teaches, and evidence about
// it.
func (f *filler) skill(c Clinic, y Family, own func(row) row) {
	name := y.LibraryMark + " skill"
	f.put("skill", row{"clinic_id": c.ID, "id": y.Skill, "name": name, "area": y.LibraryMark + " area", "created_by": y.Supervisor, "created_at": ago(40)})
	f.put("skill_name", row{"clinic_id": c.ID, "folded": newel.FoldSkill(name), "skill_id": y.Skill})
	f.put("help_scale", row{
		"clinic_id": c.ID, "id": y.HelpScale, "name": y.LibraryMark + " scale", "levels": asJSON{[]program.HelpLevel{{Name: y.HelpLevel}}},
		"created_by": y.Supervisor, "created_at": ago(40),
	})
	f.put("skill_note", own(row{
		"id": y.SkillNote, "learner_id": y.Learner, "skill_id": y.Skill, "status": newel.SkillEmerging, "noted_on": dayAgo(25),
		"evidence": y.Mark + " evidence", "placement_id": y.Past, "recorded_by": y.Supervisor, "recorded_at": ago(25),
	}))
}

// branch adds a version made for the family's learner.
func (f *filler) branch(c Clinic, y Family, own func(row) row) {
	d := document(y.Mark, y.StepOne, y.StepTwo, y.Strand)
	hash, err := d.Hash()
	f.keep(err)
	f.put("version", row{
		"clinic_id": c.ID, "id": y.Branch, "program_id": y.Program, "number": 1, "document": asJSON{d}, "hash": hash,
		"published_by": y.Supervisor, "own": true,
	})
	f.put("step", row{
		"clinic_id": c.ID, "version_id": y.Branch, "key": y.StepOne, "strand": y.Strand, "place": 0, "label": "1", "name": y.Mark + " thin", "own": true,
	})
	f.put("branch", own(row{
		"version_id": y.Branch, "assignment_id": y.Assignment, "step_key": y.StepTwo, "made_by": y.Supervisor, "made_at": ago(5),
	}))
}

func (f *filler) teaching(c Clinic, y Family, own func(row) row) {
	say := y.Mark + " override"
	f.put("assignment", own(row{
		"id": y.Assignment, "learner_id": y.Learner, "program_id": y.Program, "created_by": y.Supervisor, "created_at": ago(30),
		"overrides": asJSON{map[string]newel.StepOverride{y.StepTwo: {Say: &say}}},
	}))
	f.put("assignment", own(row{
		"id": y.Finished, "learner_id": y.Learner, "program_id": y.Program, "created_by": y.Supervisor, "created_at": ago(60), "state": newel.AssignmentFinished,
	}))
	place := func(of newel.AssignmentID, id newel.PlacementID, step string, began int, ended any) {
		f.put("placement", own(row{
			"id": id, "assignment_id": of, "version_id": y.Version, "step_key": step, "strand_key": y.Strand,
			"criterion": stepCriterion, "step_back": "", "planned_help": y.HelpLevel, "began_at": ago(began), "began_on": dayAgo(began), "ended_at": ended,
		}))
	}
	place(y.Finished, y.Last, y.StepOne, 60, ago(40))
	place(y.Assignment, y.Past, y.StepOne, 30, ago(20))
	place(y.Assignment, y.Placement, y.StepTwo, 20, nil)
	f.put("reading", own(row{
		"placement_id": y.Placement, "as_of": ago(1), "evaluator": 1, "status": "teaching", "body": `{"status":"teaching"}`, "stale": true, "by_rule": true,
	}))
	f.put("reading", own(row{"placement_id": y.Past, "as_of": ago(20), "evaluator": 1, "status": "met", "body": `{"status":"met"}`}))
	f.recording(own, y, y.Recording, true)
	f.recording(own, y, y.Running, false)
	f.put("amendment", own(row{
		"id": y.Amendment, "recording_id": y.Recording, "change": `{"kind":"void","n":1}`, "reason": y.Mark + " reason",
		"made_by": y.Supervisor, "made_at": ago(1),
	}))
	f.put("decision", own(row{
		"id": y.Decision, "placement_id": y.Past, "kind": "advance", "closes": true, "reason": y.Mark + " reason", "for_family": y.Mark + " for the family", "expected": y.Mark + " expected",
		"expected_by": dayAgo(-10), "reading": `{"status":"met"}`, "next_placement_id": y.Placement, "decided_by": y.Supervisor, "decided_at": ago(20),
	}))
	f.put("decision", own(row{
		"id": ID[newel.DecisionID](y.Mark + " lift"), "placement_id": y.Past, "kind": "lift", "closes": false, "reason": y.Mark + " agreed",
		"agreed_on": dayAgo(1), "decided_by": y.Supervisor, "decided_at": ago(1),
	}))
	f.put("verdict", own(row{
		"id": y.Verdict, "decision_id": y.Decision, "came": "not_yet", "line": y.Mark + " line", "given_by": y.Supervisor, "given_at": ago(1),
	}))
	f.put("training", own(row{
		"id": y.Training, "person_id": y.Person, "program_id": y.Program, "state": "practised", "version_id": y.Version,
		"note": y.Mark + " note", "set_by": y.Supervisor, "set_at": ago(29),
	}))
	f.put("fidelity", own(row{
		"id": y.Fidelity, "placement_id": y.Placement, "person_id": y.Person, "taught_on": dayAgo(2), "watched": "call",
		"points": `[{"text":"` + y.Mark + ` cue once","seen":"not_done"}]`, "note": y.Mark + " note", "noted_by": y.Supervisor, "noted_at": ago(2),
	}))
	f.put("review", own(row{"id": y.Review, "learner_id": y.Learner, "led_by": y.Supervisor, "placement_id": y.Placement, "began_at": ago(0)}))
	f.put("review_guest", own(row{"review_id": y.Review, "account_id": y.Caregiver, "seen_at": ago(0)}))
	f.put("agreed_action", own(row{
		"id": y.Action, "learner_id": y.Learner, "review_id": y.Review, "text": y.Mark + " action", "whose": "family", "due_on": dayAgo(-3),
		"agreed_by": y.Supervisor, "agreed_at": ago(0),
	}))
	f.put("agreed_action", own(row{
		"id": y.ClinicAction, "learner_id": y.Learner, "review_id": y.Review, "text": y.Mark + " clinic's action", "whose": "clinic",
		"agreed_by": y.Supervisor, "agreed_at": ago(0),
	}))
	f.put("planned_session", own(row{"id": ID[newel.PlannedSessionID](y.Mark + " planned"), "placement_id": y.Placement, "kind": "probe", "planned_by": y.Supervisor, "planned_at": ago(1)}))
	f.put("incident", own(row{
		"id": y.Incident, "learner_id": y.Learner, "happened_on": dayAgo(1), "about_when": y.Mark + " noon", "before": y.Mark + " before", "saw": y.Mark + " saw",
		"after": y.Mark + " after", "helped": y.Mark + " helped", "minutes": 3, "hurt": true, "written_by": y.Caregiver, "written_at": ago(1),
	}))
	f.put("incident_note", own(row{"id": ID[newel.IncidentID](y.Mark + " note"), "incident_id": y.Incident, "text": y.Mark + " note", "written_by": y.Caregiver, "written_at": ago(1)}))
	f.put("message", own(row{"id": y.ToClinic, "from_clinic": false, "text": y.Mark + " message", "written_by": y.Caregiver, "written_at": ago(1)}))
	f.put("message", own(row{"id": y.ToFamily, "from_clinic": true, "text": y.Mark + " clinic's message", "written_by": y.Supervisor, "written_at": ago(0)}))
	f.branch(c, y, own)
	f.put("question", own(row{
		"id": y.Question, "placement_id": y.Placement, "text": y.Mark + " question", "asked_by": y.Supervisor, "asked_at": ago(3),
		"answer": y.Mark + " answer", "answered_by": y.Caregiver, "answered_at": ago(2),
	}))
	f.put("question", own(row{
		"id": y.Unanswered, "placement_id": y.Placement, "text": y.Mark + " waiting", "asked_by": y.Supervisor, "asked_at": ago(1),
	}))
	f.put("talk", own(row{
		"id": y.Talk, "assignment_id": y.Assignment, "made_by": y.Caregiver, "line": y.Mark + " talked", "talked_at": ago(2), "rests": true, "received_at": ago(2),
	}))
	f.quarantine(c.ID, y.Caregiver, y.Quarantined, y.Placement, y.Mark, y.Target)
}
