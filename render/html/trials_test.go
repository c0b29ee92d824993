package html

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/chromedp/chromedp"

	"benchproof/compiler"
	"benchproof/compiler/document"
	"benchproof/compiler/trial"
	"benchproof/procedures"
)

// player works through a page: it fills in each current step, typing the
// readings given for it in turn and choosing the answers, until the page leads
// nowhere further. It says what it saw.
const player = `(members, readings, answers) => {
	const say = (e, kind) => e.dispatchEvent(new Event(kind, {bubbles: true}));
	for (const [variant, member] of members) { const e = [...document.querySelectorAll('input[type=radio]')].find(e => e.name === variant && e.value === member); if (e) e.click(); }
	const shown = e => e.checkVisibility();
	const pass = ms => { if (window.passes) window.passes(ms); };
	for (let i = 0; i < 500; i++) {
		const step = document.querySelector('[aria-current=step]');
		if (!step) break;
		const empty = root => [...root.querySelectorAll('input')].filter(e => shown(e) && (e.type === 'checkbox' ? !e.checked : e.type === 'radio' ? ![...e.closest('fieldset').querySelectorAll('input')].some(x => x.checked) : !e.value && !e.closest('.hold')));
		const root = [...step.querySelectorAll('.turn')].find(t => shown(t) && empty(t).length) || step;
		let stuck = true;
		for (const box of root.querySelectorAll('.reading')) {
			const cells = empty(box);
			if (!cells.length) continue;
			const list = readings[box.dataset.reading] || [];
			if (!list.length) return {lacks: box.dataset.reading, step: step.id};
			const value = list.shift();
			for (const e of cells) { pass(20000); e.value = value; say(e, 'input'); say(e, 'change'); }
			const refused = cells.find(e => e.getAttribute('aria-invalid'));
			if (refused) return {lacks: 'a good ' + box.dataset.reading + ', not ' + value + ': ' + box.querySelector('.say').textContent, step: step.id};
			stuck = false;
		}
		for (const e of empty(root)) {
			if (!shown(e)) continue;
			pass(20000 + (e.closest('.wait') ? e.closest('.wait').dataset.seconds * 1000 : 0));
			if (window.passes) say(document, 'pointerdown'); // a hand is back: after hours the page asks to verify again
			for (const again of document.querySelectorAll('#again input:not(:checked)')) again.click();
			if (e.type === 'radio') {
				if ([...e.closest('fieldset').querySelectorAll('input')].some(x => x.checked)) continue;
				const list = answers[e.name] || [];
				if (!list.length) return {lacks: e.name, step: step.id};
				const answer = list.shift();
				[...e.closest('fieldset').querySelectorAll('input')].find(x => x.value === answer).click();
			} else if (e.type === 'checkbox') { if (!e.checked) e.click(); }
			else if (!e.closest('.reading')) { e.value = 'x'; say(e, 'change'); }
			stuck = false;
		}
		if (stuck) return {lacks: 'a way on', step: step.id};
	}
	const go = document.getElementById('go').getAttribute('href');
	const end = document.querySelector(go);
	const ticks = [...document.querySelectorAll('[data-view=done] .tick')].filter(e => e.querySelector('input').checked).map(e => e.textContent);
	return {outcome: end && end.dataset.outcome || '', text: end ? end.innerText : '', where: document.getElementById('where').innerText, ticks, stops: document.querySelectorAll('.stop').length};
}`

type played struct {
	Lacks, Step          string
	Outcome, Text, Where string
	Ticks                []string
	Stops                int
}

// demonstration checks the demonstration library, once for all tests.
var demonstration = sync.OnceValues(func() (*compiler.Result, error) {
	sources, err := compiler.Read(procedures.Files)
	if err != nil {
		return nil, err
	}
	r, err := compiler.Check(context.Background(), sources)
	if err == nil && !r.Sound() {
		err = fmt.Errorf("the demonstration library is not sound: %s", r.Messages[0].Text)
	}
	return r, err
})

// demonstrated are the documents of the demonstration library, each for its
// whole family.
func demonstrated(t *testing.T) []*document.Document {
	t.Helper()
	r, err := demonstration()
	if err != nil {
		t.Fatal(err)
	}
	var docs []*document.Document
	for i := range r.Library.Procedures {
		doc, _ := r.Document(i, compiler.DocumentOptions{})
		docs = append(docs, doc)
	}
	return docs
}

// Every trial of the demonstration library is played in its page, for one of
// the members it holds for, and reaches the finish, with the new parts, that
// the compiler says. Procedures are played
// at the same time, each in a tab of its own.
func TestTrialsPlayedInThePage(t *testing.T) {
	r, err := demonstration()
	if err != nil {
		t.Fatal(err)
	}
	var runs, parts atomic.Int64
	t.Run("procedures", func(t *testing.T) {
		for i, p := range r.Library.Procedures {
			t.Run(p.Name, func(t *testing.T) {
				t.Parallel()
				playTrials(t, r, i, &runs, &parts)
			})
		}
	})
	t.Logf("%d runs played, %d parts compared", runs.Load(), parts.Load())
	if runs.Load() < 20 || parts.Load() < 20 {
		t.Error("hardly anything was played")
	}
}

// playTrials plays every trial of procedure i, in the page of its family and in
// that of its members, and counts runs and parts compared.
func playTrials(t *testing.T, r *compiler.Result, i int, runs, parts *atomic.Int64) {
	pages := map[string]string{}
	open := func(o compiler.DocumentOptions) (*document.Document, string) {
		doc, _ := r.Document(i, o)
		key := doc.Name
		for _, c := range doc.For {
			key += "." + c.Member
		}
		if pages[key] == "" {
			pages[key] = writePage(t, doc)
		}
		return doc, pages[key]
	}
	tab := openTab(t, 1100, 900)
	tab.do(before(`try { localStorage.clear() } catch {}`)) // each trial is a job of its own
	turn := 0
	for _, outcome := range r.Trials {
		if outcome.Trial.Of != r.Library.Procedures[i] {
			continue
		}
		// A trial that holds for every member is played for one of them, each
		// member in its turn: the compiler has run it for all.
		turn++
		for k, run := range outcome.Runs {
			if k != turn%len(outcome.Runs) {
				continue
			}
			runs.Add(1)
			pagesOf := []compiler.DocumentOptions{{}}
			if len(run.Members) > 0 {
				pagesOf = append(pagesOf, compiler.DocumentOptions{For: run.Members})
			}
			for _, o := range pagesOf {
				name := outcome.Trial.Title
				doc, page := open(o)
				arguments := argumentsOf(t, run)
				tab.do(chromedp.Navigate("about:blank"), chromedp.Navigate(page))
				got := eval[played](tab, `(`+player+`)(...`+arguments+`)`)
				if got.Lacks != "" {
					t.Errorf("%s %s: stands still at %s for want of %s", name, arguments, got.Step, got.Lacks)
					continue
				}
				want, text := "serviceable", ""
				if f := run.Trace.Finish; f != nil {
					want = f.Outcome
					if f.To != nil {
						text = f.To.Document
					}
				}
				if got.Outcome != want || !strings.Contains(got.Text, text) || got.Stops > 0 {
					t.Errorf("%s %s: the page ends with %q (%s), the compiler with %q %s", name, arguments, got.Outcome, got.Where, want, text)
				}
				if len(doc.For) == 0 && len(run.Members) > 0 {
					continue // a family's ticks name the parts of all its members
				}
				for _, n := range doc.Parts {
					if !n.New || n.Thing.Number == "" {
						continue
					}
					fitted := false
					for thing, count := range run.Trace.Fitted {
						fitted = fitted || count > 0 && thing.Declared().Name == n.Thing.Name
					}
					ticked := slices.ContainsFunc(got.Ticks, func(s string) bool {
						return strings.Contains(s, n.Thing.Number) && strings.Contains(s, "fitted")
					})
					parts.Add(1)
					if fitted != ticked {
						t.Errorf("%s %s: %s %s is fitted: the page says %v, the compiler %v (%q)", name, arguments, n.Thing.Title, n.Thing.Number, ticked, fitted, got.Ticks)
					}
				}
			}
		}
	}
	tab.clean()
}

// argumentsOf are a run's members, readings and answers as the player takes them.
func argumentsOf(t *testing.T, run trial.Run) string {
	t.Helper()
	readings, answers := map[string][]string{}, map[string][]string{}
	for _, taken := range run.Trace.Taken {
		of := taken.Of.Declared().Name
		if taken.Answer != nil {
			answers[of] = append(answers[of], taken.Answer.Name)
		} else {
			readings[of] = append(readings[of], taken.Value.Exact())
		}
	}
	members := [][2]string{}
	for _, m := range run.Members {
		members = append(members, [2]string{m.Variant.Name, m.Name})
	}
	arguments, err := json.Marshal([]any{members, readings, answers})
	if err != nil {
		t.Fatal(err)
	}
	return string(arguments)
}
