package compute

import (
	"newel/internal/criterion"
	"newel/internal/strict"
)

// odds reads one question about a criterion's odds as JSON and returns its criterion.OddsAnswer.
func odds(document []byte) (any, error) {
	q, err := decodeOdds(document)
	if err != nil {
		return nil, err
	}
	answer, err := criterion.Odds(q)
	if err != nil {
		return nil, inputError(err)
	}
	return answer, nil
}

// decodeOdds decodes one question. An error it returns is a *strict.Error that names the field.
func decodeOdds(document []byte) (q criterion.OddsQuestion, err error) {
	err = strict.Read(document, func(d *strict.Decoder) error { return decoder{d}.odds(&q) })
	if err != nil {
		return criterion.OddsQuestion{}, err
	}
	return q, nil
}

func (d decoder) odds(q *criterion.OddsQuestion) error {
	required := []string{"criterion", "trials", "accuracy", "sessions"}
	return d.Object(required, func(name string) error {
		switch name {
		case "criterion":
			return d.Text(&q.Criterion)
		case "help_levels":
			return d.Texts(&q.HelpLevels)
		case "trials":
			return d.Integer(&q.Trials)
		case "accuracy":
			return d.Numbers(&q.Accuracy)
		case "sessions":
			return d.Array(func() error {
				var n int
				err := d.Integer(&n)
				q.Sessions = append(q.Sessions, n)
				return err
			})
		}
		return d.Unknown()
	})
}

// luck reads one question about a criterion's luck as JSON and returns its criterion.LuckAnswer.
func luck(document []byte) (any, error) {
	var q criterion.LuckQuestion
	err := strict.Read(document, func(d *strict.Decoder) error {
		return d.Object([]string{"criterion", "trials"}, func(name string) error {
			switch name {
			case "criterion":
				return d.Text(&q.Criterion)
			case "help_levels":
				return d.Texts(&q.HelpLevels)
			case "trials":
				return d.Integer(&q.Trials)
			}
			return d.Unknown()
		})
	})
	if err != nil {
		return nil, err
	}
	answer, err := criterion.Luck(q)
	if err != nil {
		return nil, inputError(err)
	}
	return answer, nil
}
