package tenants

import (
	"encoding/hex"
	"fmt"

	"newel/internal/criterion"
	"newel/internal/measure"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/recording"
)

const stepCriterion = "80% independent in 2 sessions in a row"

// document returns a publishable program with one strand of two steps.
func document(mark, one, two, strand string) program.Document {
	step := func(key, label string) program.Step {
		return program.Step{
			Key: key, Label: label, Name: mark + " step " + label, Say: mark + " say", DoneWhen: mark + " done", Context: mark + " context",
			Targets: []program.Target{{Key: "ball", Name: mark + " ball", Card: mark + " card"}},
			Measure: program.MeasureTrials, Trials: 5, Minutes: 5, PlannedHelp: "gesture", Criterion: stepCriterion,
		}
	}
	return program.Document{
		Format: program.DocumentFormat, Title: mark + " program", SkillArea: mark + " area", Purpose: mark + " purpose",
		ForWhom: mark + " for whom", Setting: mark + " setting", Language: "en", Cautions: mark + " cautions", StopRule: mark + " stop",
		Generalize: mark + " generalize", Reinforcing: mark + " reinforcing",
		Materials:  []program.Material{{Text: mark + " material"}},
		HelpLevels: []program.HelpLevel{{Name: "gesture"}, {Name: "model"}},
		Procedure:  program.Procedure{Say: mark + " say", HelpRule: mark + " rule", WaitSeconds: 3, IfRight: mark + " right", IfNotYet: mark + " not yet", IfSaysNo: mark + " no"},
		Checklist:  []string{mark + " item"},
		Teaches:    []program.TaughtSkill{{Skill: mark + " skill", Step: one}},
		Strands:    []program.Strand{{Key: strand, Steps: []program.Step{step(one, "A1"), step(two, "A2")}}},
	}
}

func care(mark string) newel.Care {
	return newel.Care{
		Alerts:    newel.Alerts{Asked: true, Allergy: mark + " allergy", Choking: mark + " choking", Seizure: mark + " seizure", Mouthing: mark + " mouthing"},
		StopSigns: mark + " stop signs", HelpNotes: mark + " help notes",
	}
}

// Session is what tells one recording of two trials from another.
type Session struct {
	ID        newel.RecordingID
	Placement newel.PlacementID
	Author    newel.AccountID
	By        newel.PersonID
	Mark      string // in every text
	Target    string
	Open      bool // not closed yet
}

// Document returns the recording as a phone sends it.
func (s Session) Document() recording.Document {
	d := recording.Document{
		Contract: recording.Contract, ID: s.ID,
		Origin: recording.Origin{
			Placement: s.Placement, Author: s.Author, Kit: recording.Kit{ID: "kit", Hash: fmt.Sprintf("%064d", 0)}, Device: "phone",
			StartedAt: recording.DeviceTime("2026-03-08T10:00:00+08:00"),
		},
		Header: recording.Header{
			By: recording.Rev(1, s.By), Kind: recording.Rev(1, recording.Teaching), How: recording.Rev(1, recording.Live),
			Place: recording.Rev(1, s.Mark+" place"), Present: recording.Rev(1, []string{s.Mark + " present"}),
		},
	}
	for n := 1; n <= 2; n++ {
		d.Trials = append(d.Trials, recording.Trial{
			N: n, Rev: 1, AtMS: int64(n) * 10_000, Answer: &recording.Answer{Target: s.Target, Outcome: measure.Correct},
		})
	}
	if !s.Open {
		d.Closing = &recording.Closing{Last: 2, EndMS: 60_000, EndedAt: "2026-03-08T10:01:00+08:00"}
	}
	return d
}

func (f *filler) recording(own func(row) row, y Family, id newel.RecordingID, closed bool) {
	d := Session{ID: id, Placement: y.Placement, Author: y.Caregiver, By: y.Person, Mark: y.Mark, Target: y.Target, Open: !closed}.Document()
	start := d.StartedAt.Time().UTC()
	r := own(row{
		"id": id, "placement_id": y.Placement, "author_id": y.Caregiver, "by_id": y.Person, "state": recording.Of(d), "closed": closed,
		"needs_person": closed, "started_at": start, "ended_at": start.Add(60e9), "local_date": "2026-03-08", "trials": 2, "received_at": ago(1),
	})
	if !closed {
		r["local_date"] = dayAgo(0) // the phone's day lists it
	}
	if closed {
		r["closed_at"] = ago(1)
		r["session"] = asJSON{criterion.Session{
			ID: id.String(), StartedAt: start, EndedAt: start.Add(60e9), LocalDate: criterion.Date{Year: 2026, Month: 3, Day: 8},
			By: y.Person.String(), Place: y.Mark + " place", Kind: criterion.Teaching,
			Trials: []measure.Trial{{Target: y.Target, Outcome: measure.Correct}, {Target: y.Target, Outcome: measure.Correct}},
		}}
	}
	f.put("recording", r)
	receipt := recording.MakeReceipt(recording.Of(d), d.Contract, d.Encode(), ago(1))
	hash, err := hex.DecodeString(receipt.SHA256)
	f.keep(err)
	f.put("delivery", own(row{"recording_id": id, "author_id": y.Caregiver, "body_hash": hash, "receipt": asJSON{receipt}, "received_at": ago(1)}))
}

func (f *filler) quarantine(clinic newel.ClinicID, author newel.AccountID, id newel.RecordingID, placement newel.PlacementID, mark, target string) {
	d := Session{ID: id, Placement: placement, Author: author, By: ID[newel.PersonID](mark + " somebody"), Mark: mark, Target: target}.Document()
	receipt := recording.MakeReceipt(recording.Of(d), d.Contract, d.Encode(), ago(1))
	f.put("quarantine", row{
		"clinic_id": clinic, "id": id, "account_id": author, "placement_id": placement, "body": recording.Of(d),
		"receipts": asJSON{map[string]recording.Receipt{receipt.SHA256: receipt}}, "why": "no_access", "received_at": ago(1),
	})
}
