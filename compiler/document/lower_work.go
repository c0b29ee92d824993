package document

import (
	"strconv"

	"benchproof/compiler/library"
	"benchproof/compiler/quantity"
	"benchproof/compiler/trade"
)

// What is worked out of an action for the bench: speeds, settings,
// temperatures and times. The formulas are those of package trade.

func unit(code string) *quantity.Unit {
	u, ok := quantity.LookUp(code)
	if !ok {
		panic("no unit " + code)
	}
	return u
}

var (
	mm       = unit("mm")
	mPerMin  = unit("m/min")
	perMin   = unit("rpm")
	celsius  = unit("degC")
	perKelvn = unit("um/m/K")
	minute   = unit("min")
	second   = unit("s")
)

// drilling says size, depth and speed of a hole.
func (l *lowerer) drilling(a *library.Drill) Text {
	return say(l.ph.hole, map[string]Text{
		"size": l.valueText(a.Size), "deep": l.valueText(a.Deep),
		"speed": l.spindle(a.Speed, []*library.Value{&a.Size}, func(by library.Assignment) (quantity.Number, bool) { return in(&a.Size, by, mm) }),
	})
}

// tapping says thread, depth and speed of a tapped hole.
func (l *lowerer) tapping(a *library.Tap) Text {
	pattern := l.ph.thread
	if a.Insert {
		pattern = l.ph.insertThread
	}
	return say(pattern, map[string]Text{
		"size": words(l.w.Numeral(a.Thread)), "deep": l.valueText(a.Deep),
		"speed": l.spindle(a.Speed, nil, func(library.Assignment) (quantity.Number, bool) {
			t, err := trade.ParseThread(a.Thread)
			return t.Diameter, err == nil
		}),
	})
}

// in gives a value in a unit for an assignment.
func in(v *library.Value, by library.Assignment, u *quantity.Unit) (quantity.Number, bool) {
	q, ok := v.For(by)
	if !ok {
		return quantity.Number{}, false
	}
	n, err := q.In(u)
	return n, err == nil
}

// spindle is the speed of a tool as a guide value: 1000 v / (π d).
func (l *lowerer) spindle(speed *library.Value, others []*library.Value, diameter func(library.Assignment) (quantity.Number, bool)) Text {
	if speed == nil {
		return nil
	}
	cases := l.valuesBy(append(others, speed), func(by library.Assignment) (string, bool) {
		v, ok1 := in(speed, by, mPerMin)
		d, ok2 := diameter(by)
		if !ok1 || !ok2 || d.Sign() <= 0 || v.Sign() <= 0 {
			return "", false
		}
		return l.w.Numeral(quantity.New(trade.GuideValue(trade.SpindleSpeed(v, d)), perMin).String()), true
	})
	if len(cases) == 0 {
		return nil
	}
	return say(l.ph.speed, map[string]Text{"rpm": l.casesText(cases)})
}

// tightening says in how many rounds and to what.
func (l *lowerer) tightening(a *library.Tighten) Text {
	crosswise := ""
	if a.Crosswise {
		crosswise = l.ph.crosswise
	}
	values := make([]Text, len(a.To))
	for i, v := range a.To {
		values[i] = l.valueText(v)
	}
	if len(values) == 1 {
		return say(l.ph.torque, map[string]Text{"crosswise": words(crosswise), "values": values[0]})
	}
	return say(l.ph.rounds, map[string]Text{
		"n": words(strconv.Itoa(len(values))), "crosswise": words(crosswise), "values": listed(values, l.ph.andList, l.ph.andThen),
	})
}

// settings say what to set the wrench to where the fastener gets more than the
// wrench shows: T·L/(L+E).
func (l *lowerer) settings(a *library.Tighten) (out []Text) {
	if a.Through == nil {
		return nil
	}
	for i := range a.To {
		for _, c := range l.settingCases(a, &a.To[i]) {
			torque := say("{v}", map[string]Text{"v": value(c.torque)})
			if len(c.members) > 0 {
				torque = appendPlain(torque, " ("+memberTitles(c.members)+")")
			}
			out = append(out, say(l.ph.setting, map[string]Text{
				"tool": l.thingText(l.thing(a.With), 0), "extension": l.thingText(l.thing(a.Through), 0),
				"setting": value(c.setting), "torque": torque,
			}))
		}
	}
	return out
}

// A settingCase is a torque, and what a wrench with an extension is set to for it.
type settingCase struct {
	torque, setting string
	members         []*library.Member
}

// settingCases is empty where the wrench or the extension states no length.
func (l *lowerer) settingCases(a *library.Tighten, v *library.Value) (out []settingCase) {
	if a.Through == nil || a.With.Length == nil || a.Through.Extends == nil {
		return nil
	}
	length, err1 := a.With.Length.In(mm)
	extension, err2 := a.Through.Extends.In(mm)
	if err1 != nil || err2 != nil || length.Add(extension).Sign() <= 0 {
		return nil
	}
	for _, c := range l.valueCases(*v) {
		n := trade.WrenchSetting(c.value.Value, length, extension)
		out = append(out, settingCase{c.text, l.w.Numeral(quantity.New(n, c.value.Unit).Format(threeDigits(n))), c.members})
	}
	return out
}

// threeDigits is how many decimals give a number three digits, as far as a
// wrench can be set.
func threeDigits(n quantity.Number) int {
	switch a := n.Abs(); {
	case a.Cmp(quantity.NewInt(100)) >= 0:
		return 0
	case a.Cmp(quantity.NewInt(10)) >= 0:
		return 1
	}
	return 2
}

// fiveDegrees is the step to which a temperature to heat to is rounded up, so
// that the bore never comes out smaller than wanted.
var fiveDegrees = quantity.NewInt(5)

// heating says how warm a part must be for a hot fit.
func (l *lowerer) heating(a *library.Heat) (Text, bool) {
	inputs := []*library.Value{&a.Bore, &a.Interference, a.Clearance, &a.Expansion, a.From, a.AtMost}
	cases := l.valuesBy(inputs, func(by library.Assignment) (string, bool) {
		bore, ok1 := in(&a.Bore, by, mm)
		tight, ok2 := in(&a.Interference, by, mm)
		alpha, ok3 := in(&a.Expansion, by, perKelvn)
		if !ok1 || !ok2 || !ok3 || bore.Sign() <= 0 || alpha.Sign() <= 0 {
			return "", false
		}
		clear, from := quantity.NewInt(0), trade.ReferenceTemperature
		if a.Clearance != nil {
			if clear, ok1 = in(a.Clearance, by, mm); !ok1 {
				return "", false
			}
		}
		if a.From != nil {
			if from, ok1 = in(a.From, by, celsius); !ok1 {
				return "", false
			}
		}
		t := trade.HotFit(from, tight, clear, alpha, bore).Ceil(fiveDegrees)
		if a.AtMost != nil {
			if most, ok := in(a.AtMost, by, celsius); ok && t.Cmp(most) > 0 {
				t = most
			}
		}
		return l.w.Numeral(quantity.New(t, celsius).String()), true
	})
	if len(cases) == 0 {
		return nil, false
	}
	if a.AtMost == nil {
		return say(l.ph.heat, map[string]Text{"temperature": l.casesText(cases)}), true
	}
	return say(l.ph.heatMost, map[string]Text{"temperature": l.casesText(cases), "most": l.valueText(*a.AtMost)}), true
}

// --- times -----------------------------------------------------------------------------------

// timeText prints minutes as hours, minutes and seconds, to the second above.
func (l *lowerer) timeText(minutes quantity.Number) string {
	total, ok := minutes.Mul(quantity.NewInt(60)).Ceil(quantity.NewInt(1)).Int()
	if !ok {
		return l.w.Numeral(quantity.New(minutes, minute).String())
	}
	h, m, s := total/3600, total/60%60, total%60
	text := ""
	add := func(n int, unit string) {
		if n == 0 {
			return
		}
		if text != "" {
			text += " "
		}
		text += strconv.Itoa(n) + quantity.NBSP + unit
	}
	add(h, l.ph.hours)
	add(m, l.ph.minutes)
	add(s, l.ph.seconds)
	if text == "" {
		return "0" + quantity.NBSP + l.ph.minutes
	}
	return text
}

// toMinute rounds the time of a whole job outwards, as far as anyone plans by
// it: to the minute from ten minutes up.
func toMinute(minutes quantity.Number, up bool) quantity.Number {
	one := quantity.NewInt(1)
	switch {
	case minutes.Cmp(quantity.NewInt(10)) < 0:
		return minutes
	case up:
		return minutes.Ceil(one)
	}
	return minutes.Floor(one)
}

// durations prints how long something takes.
func (l *lowerer) durations(v library.Value) Text { return l.valueText(v) }

// longest gives the greatest of a time over the members, in seconds.
func (l *lowerer) longest(v library.Value) (quantity.Number, bool) {
	var most quantity.Number
	found := false
	for _, c := range l.valueCases(v) {
		n, err := c.value.In(second)
		if err == nil && (!found || n.Cmp(most) > 0) {
			most, found = n, true
		}
	}
	return most, found
}
