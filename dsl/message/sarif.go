package message

import (
	"io"
	"net/url"
	"strings"

	"github.com/owenrumney/go-sarif/v3/pkg/report/v210/sarif"

	"benchproof/dsl/source"
)

// WriteSARIF writes messages in the Static Analysis Results Interchange Format,
// OASIS SARIF 2.1.0 with errata 01, for programs that collect findings.
// Version is the version of the program. Files are relative to the library's
// folder (%SRCROOT%), columns count characters.
func WriteSARIF(w io.Writer, list []*Message, version string) error {
	driver := sarif.NewToolComponent().WithName("benchproof").WithVersion(version).WithLanguage("en")
	run := sarif.NewRun().WithTool(sarif.NewTool().WithDriver(driver)).WithColumnKind("unicodeCodePoints")
	run.Results = []*sarif.Result{} // "results" is required where a check was made

	index := map[Code]int{}
	for _, m := range list {
		at, ok := index[m.Code]
		if !ok {
			at = len(driver.Rules)
			index[m.Code] = at
			driver.AddRule(rule(m.Code))
		}
		result := sarif.NewResult().WithRuleID(string(m.Code)).WithRuleIndex(at).
			WithKind("fail").WithLevel(m.Severity.String()).
			WithMessage(sarif.NewMessage().WithText(wholeText(m)))
		if !m.Span.IsZero() {
			result.AddLocation(located(sarif.NewLocation(), m.Span))
		}
		for i, r := range m.Related {
			result.AddRelatedLocation(located(sarif.NewLocation().WithID(i+1).
				WithMessage(sarif.NewMessage().WithText(r.Text)), r.Span))
		}
		if len(m.Edits) > 0 {
			result.AddFixe(fix(m))
		}
		run.AddResult(result)
	}
	report := sarif.NewReport()
	report.AddRun(run)
	if err := report.PrettyWrite(w); err != nil {
		return err
	}
	_, err := io.WriteString(w, "\n")
	return err
}

// wholeText is the message with its notes and its help: viewers show one text.
func wholeText(m *Message) string {
	parts := append([]string{m.Text}, m.Notes...)
	if m.Help != "" {
		parts = append(parts, m.Help)
	}
	return strings.Join(parts, "\n")
}

func rule(code Code) *sarif.ReportingDescriptor {
	r := sarif.NewReportingDescriptor().WithID(string(code)).
		WithDefaultConfiguration(sarif.NewReportingConfiguration().WithLevel(SeverityOf(code).String()))
	if e, ok := Find(string(code)); ok {
		r.WithShortDescription(sarif.NewMultiformatMessageString().WithText(e.Title))
	}
	if page := Page(code); page != "" {
		r.WithHelp(sarif.NewMultiformatMessageString().WithText(page).WithMarkdown(page))
	}
	return r
}

// located gives a location its place; that of a sheet names the cell, too, since
// a region has no word for it.
func located(l *sarif.Location, s source.Span) *sarif.Location {
	l.WithPhysicalLocation(physical(s))
	if name := cellName(s); name != "" {
		l.AddLogicalLocation(sarif.NewLogicalLocation().WithFullyQualifiedName(name).WithKind("element"))
	}
	return l
}

func physical(s source.Span) *sarif.PhysicalLocation {
	return sarif.NewPhysicalLocation().WithArtifactLocation(artifact(s)).WithRegion(region(s))
}

func artifact(s source.Span) *sarif.ArtifactLocation {
	address := (&url.URL{Path: s.File.Real()}).EscapedPath()
	return sarif.NewArtifactLocation().WithURI(address).WithURIBaseID("%SRCROOT%")
}

func region(s source.Span) *sarif.Region {
	line, column, endLine, endColumn := s.Place()
	return sarif.NewRegion().WithStartLine(line).WithStartColumn(column).WithEndLine(endLine).WithEndColumn(endColumn)
}

// fix gives the edits of a message, one change a file, in the order of the edits.
func fix(m *Message) *sarif.Fix {
	f := sarif.NewFix()
	if m.Help != "" {
		f.WithDescription(sarif.NewMessage().WithText(m.Help))
	}
	changes := map[*source.File]*sarif.ArtifactChange{}
	for _, e := range m.Edits {
		change := changes[e.Span.File]
		if change == nil {
			change = sarif.NewArtifactChange().WithArtifactLocation(artifact(e.Span))
			changes[e.Span.File] = change
			f.AddArtifactChange(change)
		}
		change.AddReplacement(sarif.NewReplacement().WithDeletedRegion(region(e.Span)).
			WithInsertedContent(sarif.NewArtifactContent().WithText(e.Text)))
	}
	return f
}
