package gallery

import (
	"slices"
	"testing"

	"newel/internal/criterion"
	"newel/internal/htmlcheck"
	"newel/internal/reading"
)

// TestScenesShowEveryReading checks that the pages of sentences leave out no
// status, no flag, no strength of evidence and no state of a target.
func TestScenesShowEveryReading(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for _, s := range scenes() {
		said := s.stage().progress.Said
		seen["status "+string(said.Status)] = true
		for _, f := range said.Flags {
			seen["flag "+string(f.Kind)] = true
		}
		for _, one := range said.Sessions {
			seen["left out "+string(one.Why)] = true
		}
		if said.Evidence != nil {
			seen["evidence "+string(said.Evidence.Strength)] = true
		}
		for _, target := range said.Targets {
			seen["target "+string(target.State)] = true
		}
	}
	want := []string{
		"evidence thin", "evidence fair", "evidence good", "target met", "target taught", "target waiting",
		"left out baseline", "left out maintenance", "left out too_few_trials", "left out unfit",
	}
	for _, status := range []criterion.Status{criterion.StatusMet, criterion.StatusStalled, criterion.StatusIdle, criterion.StatusGathering, criterion.StatusUnderWay} {
		want = append(want, "status "+string(status))
	}
	for _, kind := range append(slices.Clone(criterion.FlagKinds), reading.FlagLessHelp, reading.FlagMoreHelp) {
		want = append(want, "flag "+string(kind))
	}
	for _, w := range want {
		if !seen[w] {
			t.Errorf("no scene shows %s", w)
		}
	}
}

// TestSentencesMeanWhatTheySay checks those that misled when they were first
// looked at.
func TestSentencesMeanWhatTheySay(t *testing.T) {
	t.Parallel()
	staff := func(name, text string) htmlcheck.Checker {
		return htmlcheck.In("section[aria-labelledby="+name+"]", htmlcheck.HasText(text))
	}
	check(t, progressSentences(),
		// The planned prompt was enough: not 2 of 10, which is what was independent.
		staff("fading", "Results with no more than the planned prompt: 10 of 10, 10 of 10, 10 of 10"),
		// A step that is done with prompts is not too large.
		htmlcheck.In("section[aria-labelledby=prompts] .say", htmlcheck.HasText("Correct with prompts in each of the last 6 sessions, not yet independent. Results with prompts: 10 of 10")),
		// Every flag has its reason.
		htmlcheck.In("section[aria-labelledby=slower] .further", htmlcheck.HasText("took clearly longer than in the sessions before them. Median times: 25 s")),
		htmlcheck.In("section[aria-labelledby=long] .further + .further", htmlcheck.HasText("23 sessions on this step")),
		// 40 to 50 % is no progress, and says why.
		staff("flat", "was 50%; the mean of the oldest 6 was 40%. That is not more than 10 points better."),
		// One check, not the three sessions that had met the criterion.
		htmlcheck.In("section[aria-labelledby=again] .now", htmlcheck.HasText("based on 1 session")),
		staff("twice", "Two of them took place at the same time."),
		// The goal is in minutes, the graph in seconds.
		staff("flat-rate", "The mean of the newest 4 of the last 12 sessions was 4.5 min (270 s)"),
	)
	check(t, criterionSentences(),
		htmlcheck.In("section[aria-labelledby=criterion-5]", htmlcheck.HasText("With 1 trial per session, this goal has no better window")),
		htmlcheck.In("section[aria-labelledby=criterion-6]", htmlcheck.HasText("correct one time in ten: 2.")),
	)
}

// TestFamiliesReadWhatConcernsThem checks the sentences that told families
// something else than what happened.
func TestFamiliesReadWhatConcernsThem(t *testing.T) {
	t.Parallel()
	want := map[string]string{
		"never":    "No sessions on this step yet. Start when you are ready.",
		"no":       "Paused after a no. Please talk with your supervisor before the next session.",
		"again":    "The goal for this step was met. The latest check did not go as well. Your supervisor will look at it.",
		"slipping": "The goal for this step was met. The latest check did not go as well. Your supervisor will look at it.",
		"twice":    "This step is in progress.",
		"late":     "This step is in progress.",
		"close":    "This step is in progress.",
	}
	for _, s := range familySays() {
		if text, is := want[s.name]; is && s.page.Sentence != text {
			t.Errorf("%s: %q, want %q", s.name, s.page.Sentence, text)
		}
		if s.name == "prompts" && s.page.Lately != "In the latest sessions, 10 of 50 tries were right without help." {
			t.Errorf("prompts: %q", s.page.Lately)
		}
	}
}
