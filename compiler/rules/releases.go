package rules

import (
	"fmt"
	"slices"
	"strings"

	"benchproof/compiler/library"
	"benchproof/compiler/release"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

// maxDifferences bounds how many things one message names.
const maxDifferences = 8

// CheckReleases judges what is released and withdrawn, and holds each procedure
// against the release of its newest revision. images reads a figure's file.
// Where only names a procedure, the others are left alone.
func CheckReleases(lib *library.Library, images func(path string) ([]byte, error), only string) []*message.Message {
	c := newChecker(lib)
	faulty := map[*library.Released]bool{}
	first := map[[3]string]*library.Released{}
	for _, r := range lib.Releases {
		if r.Of == nil || r.Broken || r.Of.Broken || only != "" && r.Of.Name != only {
			continue
		}
		before := len(c.messages)
		key := [3]string{r.Sort(), r.Of.Name, r.Revision}
		if other := first[key]; other != nil {
			c.wrong("BP013", r.Declared().Span, "revision %s of %s is %s twice", r.Revision, r.Of.Name, r.Sort()).
				Relate(other.Declared().Span, "%s here", r.Sort()).
				Helped("keep the statement that holds and take the other away; what is to be released anew gets a new revision")
			continue
		}
		first[key] = r
		c.said(r)
		faulty[r] = len(c.messages) > before
	}
	for _, r := range lib.Releases {
		if !r.Withdrawn || r.Of == nil || faulty[r] {
			continue
		}
		if out := first[[3]string{"released", r.Of.Name, r.Revision}]; out != nil && !faulty[out] && r.Date < out.Date && first[[3]string{"withdrawn", r.Of.Name, r.Revision}] == r {
			c.wrong("BP014", r.Spans["on"], "revision %s of %s is withdrawn on %s, before it was released", r.Revision, r.Of.Name, r.Date).
				Relate(out.Spans["on"], "released here").Helped("set the day right that is wrong")
		}
	}
	for _, p := range lib.Procedures {
		if p.Broken || only != "" && p.Name != only || len(lib.ReleasesOf(p)) == 0 {
			continue
		}
		if s := release.StandingOf(lib, p); s.Released != nil && s.Withdrawn == nil && !faulty[s.Released] {
			c.heldTo(p, s.Released, images)
		}
	}
	return c.messages
}

// said judges a statement by itself.
func (c *checker) said(r *library.Released) {
	what := "release"
	needs := []string{"by", "on", "fingerprint", "over"}
	if r.Withdrawn {
		what, needs = "withdrawal", []string{"by", "on", "reason"}
	}
	for _, key := range needs {
		at, written := r.Spans[key]
		switch {
		case !written:
			at = r.Declared().Span
		case key == "by" && r.By != "", key == "reason" && r.Reason != "", key != "by" && key != "reason":
			continue
		}
		m := c.wrong("BP015", at, "the %s of %s does not say %s", what, r.Name, saysWhat[key])
		if key == "fingerprint" || key == "over" {
			m.Helped("take the statement from version control as benchproof release has written it")
		} else {
			m.Helped("write: %s", saysHow[key])
		}
		return
	}
	i := slices.IndexFunc(r.Of.Revisions, func(v library.Revision) bool { return v.Name == r.Revision })
	if i < 0 {
		var names []string
		for _, v := range r.Of.Revisions {
			names = append(names, v.Name)
		}
		m := c.wrong("BP012", r.RevisionSpan, "revision %s of %s is %s, and the procedure has no such revision", r.Revision, r.Of.Name, r.Sort()).
			Relate(r.Of.Span, "declared here")
		if len(names) == 0 {
			m.Helped("the procedure states no revision")
		} else {
			m.Helped("its revisions are %s: an earlier one stays in the list when a new one is added", strings.Join(names, ", "))
		}
		return
	}
	if v := r.Of.Revisions[i]; r.Date < v.Date {
		c.wrong("BP014", r.Spans["on"], "revision %s of %s is %s on %s, before its own day, %s", r.Revision, r.Of.Name, r.Sort(), r.Date, v.Date).
			Relate(v.Span, "the revision").Helped("set the day right that is wrong")
		return
	}
	switch {
	case r.Withdrawn:
	case r.Method != release.Method:
		if i > 0 || c.withdrawn(r) {
			return // history: no step is compared with it
		}
		c.wrong("BP016", r.Spans["fingerprint"], "the release of %s was taken by method %s, and this program knows method %s", r.Name, r.Method, release.Method).
			Helped("check it with the program that took it, or add a revision and release that")
	case !release.Sound(r):
		c.damaged(r)
	}
}

var (
	saysWhat = map[string]string{"by": "by whom", "on": "on which day", "reason": "why", "fingerprint": "over which fingerprint", "over": "over what"}
	saysHow  = map[string]string{"by": `by "NAME"`, "on": "on DATE, such as on 2026-10-05", "reason": `reason "TEXT"`}
)

func (c *checker) withdrawn(r *library.Released) bool {
	return slices.ContainsFunc(c.lib.ReleasesOf(r.Of), func(o *library.Released) bool { return o.Withdrawn && o.Revision == r.Revision })
}

func (c *checker) damaged(r *library.Released) {
	c.wrong("BP017", r.Declared().Span, "the release of %s does not agree with itself: it is not as benchproof release has written it", r.Name).
		Helped("take it from version control again, or add a revision and release that")
}

// heldTo compares a procedure with its release.
func (c *checker) heldTo(p *library.Procedure, r *library.Released, images func(string) ([]byte, error)) {
	now := release.Take(c.lib, p, images)
	found := now.Differences(r)
	if now.Same(r) {
		if len(found) > 0 {
			c.damaged(r)
		}
		return
	}
	if len(found) == 0 {
		c.damaged(r)
		return
	}
	var names []string
	for _, d := range found[:min(len(found), maxDifferences)] {
		names = append(names, d.Text)
	}
	if more := len(found) - len(names); more > 0 {
		names = append(names, fmt.Sprintf("%d more", more))
	}
	differ := "differ"
	if len(found) == 1 {
		differ = "differs"
	}
	m := c.wrong("BP011", p.Revisions[0].Span, "%s %s from what %s released as %s on %s", listed(names, "and"), differ, r.By, r.Revision, r.Date)
	m.Relate(r.Declared().Span, "released here")
	for _, d := range found[:min(len(found), maxDifferences)] {
		if !d.At.IsZero() && d.At.File != nil {
			m.Relate(firstLine(d.At), "not as released")
		}
	}
	m.Helped("add a revision, such as: revision %s on DATE \"what has changed\"; the release of %s stays as it is, and the new one is released when it is right", after(r.Revision, p), r.Revision)
}

// firstLine narrows a span to its first line.
func firstLine(s source.Span) source.Span {
	if i := strings.IndexByte(s.Text(), '\n'); i >= 0 {
		s.End = s.Start + i
	}
	return s
}

// after gives the name of the revision after another, by the habit of letters or
// numbers.
func after(name string, p *library.Procedure) string {
	next := "NAME"
	if n := len(name); n == 1 && (name >= "A" && name < "Z" || name >= "0" && name < "9") {
		next = string(name[0] + 1)
	}
	if slices.ContainsFunc(p.Revisions, func(v library.Revision) bool { return v.Name == next }) {
		return "NAME"
	}
	return next
}
