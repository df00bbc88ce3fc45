package reading

import "newel/internal/newel"

// RowOf returns a session stored with its placement's reading as a row. people
// are names by id.
func RowOf(kept newel.KeptSession, people map[string]string) (newel.SessionRow, error) {
	id, err := newel.ParseID[newel.RecordingID](kept.ID)
	return newel.SessionRow{
		ID: id, Of: kept, LocalDate: dayIn(kept.LocalDate), EndedAt: kept.EndedAt, Void: kept.Void, ByName: people[kept.By],
	}, err
}
