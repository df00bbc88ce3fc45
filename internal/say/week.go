package say

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"newel/internal/app"
	"newel/internal/criterion"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/newel"
	"newel/internal/reading"
	"newel/internal/view"
)

// WeekPart returns a learner's last days as a calendar and as a table.
func WeekPart(t *message.Printer, w reading.Week, programs []app.LearnerProgram) view.WeekPart {
	m := view.WeekPart{T: t, Sub: t.Text("week.sub", "zone", placeOf(w.Zone))}
	for n := range reading.WeekDays {
		day := w.From.AddDays(n)
		m.Days = append(m.Days, view.WeekDay{Weekday: t.Text("week.day_" + strconv.Itoa(int(day.Time().Weekday()))), Day: strconv.Itoa(day.Time().Day())})
	}
	if len(w.Sessions) == 0 {
		return m
	}
	titles := map[newel.AssignmentID]string{}
	for _, p := range programs {
		titles[p.ID] = p.Program
		row := view.WeekRow{Program: view.Link{Label: p.Program, Href: href.Program.To(p.ProgramID)}, Cells: make([]view.WeekCell, reading.WeekDays)}
		if any := weekCells(t, w, p.ID, row.Cells); any || p.State != newel.AssignmentFinished {
			m.Rows = append(m.Rows, row)
		}
	}
	m.Table = weekTable(t, w, titles)
	return m
}

// weekCells places a program's sessions on their days, and reports whether
// there are any.
func weekCells(t *message.Printer, w reading.Week, id newel.AssignmentID, cells []view.WeekCell) (any bool) {
	for _, s := range w.Sessions {
		n := s.LocalDate.Sub(w.From)
		if s.AssignmentID == id && n >= 0 && n < len(cells) {
			cells[n].Dots, any = append(cells[n].Dots, saidNo(s.SessionRow)), true
		}
	}
	for n := range cells {
		if sessions := len(cells[n].Dots); sessions > 0 {
			cells[n].Text = t.Text("week.sessions", "n", sessions)
		}
		if slices.Contains(cells[n].Dots, true) {
			cells[n].Text += ", " + t.Flag(string(criterion.Distress))
		}
	}
	return any
}

func saidNo(s newel.SessionRow) bool { return s.Of.EndedEarly == criterion.EarlyDistress }

// weekTable returns the same sessions with their times, newest first.
func weekTable(t *message.Printer, w reading.Week, titles map[newel.AssignmentID]string) *view.Table {
	table := &view.Table{Label: t.Text("week.head"), Stacked: true}
	for _, key := range []string{"week.col_when", "caseload.col_program", "progress.col_step", "progress.col_who", "progress.col_result", "progress.col_trials", "progress.col_note"} {
		table.Columns = append(table.Columns, view.Column{Label: t.Text(key)})
	}
	sessions := slices.Clone(w.Sessions)
	slices.SortStableFunc(sessions, func(a, b newel.WeekSession) int {
		return cmp.Or(b.LocalDate.Sub(a.LocalDate), b.Of.StartedAt.Compare(a.Of.StartedAt))
	})
	for _, s := range sessions {
		stay := stayOf(t, s.Criterion, s.HelpLevels, criterion.Reading{}, []newel.SessionRow{s.SessionRow})
		one := stay.Sessions[0]
		note := ""
		if s.Afterwards {
			note = t.Text("progress.afterwards")
		}
		if saidNo(s.SessionRow) {
			note = strings.TrimPrefix(note+", ", ", ") + t.Flag(string(criterion.Distress))
		}
		table.Rows = append(table.Rows, view.Row{Cells: []view.Cell{
			view.Linked(view.Link{Label: t.DayShort(s.LocalDate) + ", " + s.Of.StartedAt.In(w.Zone).Format("15:04"), Href: one.Href}),
			view.Plainly(titles[s.AssignmentID]), view.Plainly(strings.TrimSpace(s.Role + " " + s.StepLabel)), view.Plainly(s.ByName),
			view.Plainly(stay.Result(one)), view.MarksCell(stay.Marks(one), view.MarkNames(t)), view.Soft(note),
		}})
	}
	return table
}
