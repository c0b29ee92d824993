package compare

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"benchproof/compiler/library"
)

// known are the fields of what a library declares, and of its statements and
// actions, that facts.go, actions.go and flow.go look at, and behind the bar those
// that mean nothing by themselves. A new field has to be compared, or put there.
var known = []struct {
	of     any
	fields string
}{
	{library.Library{}, "Title Owner Language Decision Allows Variants Conditions Hazards Tools Kits Parts Consumables Tables Figures Videos Routines Procedures Trials Releases | Files Place"},
	{library.Common{}, "Decl Number Detail Plural | Forms"},
	{library.Decl{}, "Name Title ReplacedBy Broken | Span Whole"},
	{library.Tool{}, "Common Reads Sets Resolution Uncertainty Share Drills Taps TapsInsert Lead Lifts Length Extends Carries Calibrated Due | Kits Props Unsaid"},
	{library.Part{}, "Common Kind Behind Guards SingleUse Thread Class Mass | IsKind Props"},
	{library.Consumable{}, "Common"},
	{library.Kit{}, "Decl Number Detail Holds"},
	{library.Variant{}, "Decl Members"},
	{library.Condition{}, "Decl States Begins Ends"},
	{library.Hazard{}, "Decl Signal Consequence Avoid Signs Safe ProvedWith"},
	{library.Table{}, "Decl Variant Columns"},
	{library.Column{}, "Decl Things Values Has | Table Spans"},
	{library.Figure{}, "Decl File Marks | FileSpan"},
	{library.Mark{}, "Number X Y Is | Span"},
	{library.Video{}, "Decl Link From To"},
	{library.Routine{}, "Decl | File"},
	{library.Procedure{}, "Decl Document Revisions Skill Purpose Applies Begins BeginsWithout Ends Allows Body Readings Questions | File"},
	{library.Revision{}, "Name Date Note | Span"},
	{library.Released{}, "Decl Withdrawn Of Revision By Date Reason Method Fingerprint | RevisionSpan Spans Steps Over"},
	{library.Trial{}, "Decl Of Members Values Expect"},
	{library.Expect{}, "Kind Not Thing Hazard Outcome To Time | Span"},
	{library.Reading{}, "Decl Unit With Of N"},
	{library.Question{}, "Decl Answers | Short"},

	{library.Stage{}, "Title Body | Base"},
	{library.Step{}, "Text Actions Allows | Base TextSpan"},
	{library.Decide{}, "Reading Question Variant Branches | Base OnSpan"},
	{library.Branch{}, "Accept Range Answers Members Meaning Body | Span Head"},
	{library.Range{}, "Low High NoUpper | Span Words"},
	{library.Repeat{}, "Times Body Otherwise HasOtherwise | Base"},
	{library.Until{}, "Reading Range Question Answers | Base OnSpan Head"},
	{library.Perform{}, "Routine Body | Base"},
	{library.Finish{}, "Outcome To Text Leaves | Base HasText"},

	{library.Item{}, "Thing Column Count | Counted Span"},
	{library.Use{}, "Items | Act"},
	{library.Fit{}, "Items On | Act"},
	{library.FitNew{}, "Items | Act"},
	{library.Refit{}, "Items | Act"},
	{library.Remove{}, "Items | Act"},
	{library.Clamp{}, "Items In | Act"},
	{library.Release{}, "Items | Act"},
	{library.Lift{}, "Items With | Act"},
	{library.Make{}, "State | Act"},
	{library.Verify{}, "State With | Act"},
	{library.Needs{}, "States | Act"},
	{library.Measure{}, "Of Count Reading With | Act"},
	{library.Ask{}, "Question Text | Act"},
	{library.Record{}, "Record What | Act"},
	{library.Warn{}, "Hazards | Act"},
	{library.Wait{}, "Time | Act"},
	{library.Takes{}, "Time | Act"},
	{library.Hold{}, "Who What | Act"},
	{library.By{}, "Who | Act"},
	{library.Note{}, "Text | Act"},
	{library.Show{}, "Figures Videos | Act"},
	{library.Drill{}, "Hole Size Deep Speed With | Act"},
	{library.Tap{}, "Existing Hole Thread Insert Deep Speed With | Act ThreadSpan"},
	{library.Tighten{}, "Item To Crosswise With Through | Act"},
	{library.Heat{}, "Item Bore Interference Clearance Expansion From AtMost With | Act"},
}

func TestEveryFieldIsComparedOrMeansNothing(t *testing.T) {
	for _, k := range known {
		of := reflect.TypeOf(k.of)
		fields := strings.Fields(strings.ReplaceAll(k.fields, "|", " "))
		for i := range of.NumField() {
			f := of.Field(i)
			if f.IsExported() && !slices.Contains(fields, f.Name) {
				t.Errorf("%s has a field %s: compare it, or say here that it means nothing", of, f.Name)
			}
		}
		for _, name := range fields {
			if _, has := of.FieldByName(name); !has {
				t.Errorf("%s has no field %s", of, name)
			}
		}
	}
}
