package say

import (
	"newel/internal/criterion"
	"newel/internal/message"
	"newel/internal/view"
	"newel/internal/writing"
)

// luckPanel says how a criterion treats a child who has not learned the skill
// and one who has.
func luckPanel(t *message.Printer, v writing.CriterionView) *view.LuckPanel {
	l := v.Luck
	p := &view.LuckPanel{Sound: l.Sound(), Basis: luckBasis(t, l)}
	if l.Sound() {
		p.Said = []string{t.Text("odds.luck_sound", append(unlearned(l.LuckAnswer), learned(l.LuckAnswer)...)...)}
		return p
	}
	for _, said := range l.Problems() {
		p.Said = append(p.Said, t.Text(said.Key, said.Args...))
	}
	for i, fix := range fixesOf(t, v.Fixes) {
		after := l.Mends[i].Luck
		p.Mends = append(p.Mends, view.LuckMend{Fix: fix, Would: t.Text("odds.luck_would", append(unlearned(after), learned(after)...)...)})
	}
	return p
}

// luckBasis lists the assumptions behind the sentences about luck.
func luckBasis(t *message.Printer, l *writing.Luck) []string {
	second := "odds.luck_learned"
	if l.LowerIsBetter {
		second = "odds.luck_learned_lower"
	}
	return []string{
		t.Text("odds.luck_not_learned", append(unlearned(l.LuckAnswer), "later", writing.Hundredths(l.Unlearnt.Within20), "twenty", 2*criterion.LuckSessions)...),
		t.Text(second, append(learned(l.LuckAnswer), "later", writing.Hundredths(l.Learnt.Within20), "twenty", 2*criterion.LuckSessions)...),
		t.Text("odds.luck_limits", "sessions", criterion.LuckSessions),
		t.Text("odds.luck_assumed", "n", l.Trials),
	}
}

func unlearned(a criterion.LuckAnswer) []any {
	return []any{"percent", a.Unlearnt.Percent.String(), "n", writing.Hundredths(a.Unlearnt.Within10), "sessions", criterion.LuckSessions}
}

func learned(a criterion.LuckAnswer) []any {
	return []any{"learned_percent", a.Learnt.Percent.String(), "learned_n", writing.Hundredths(a.Learnt.Within10), "sessions", criterion.LuckSessions}
}
