package draft

import (
	"fmt"
	"path"
	"slices"
	"strings"
)

// A writer puts what was made into the words of the language.
type writer struct {
	m      *maker
	o      Options
	b      strings.Builder
	checks []string
	things int
	// videos are declared behind the procedure's steps are written.
	videos []string
	link   string
}

func (w *writer) text() string { return w.b.String() }

func (w *writer) line(format string, args ...any) {
	fmt.Fprintf(&w.b, format+"\n", args...)
}

// check asks the writer something, on a line of its own.
func (w *writer) check(text string) {
	text = oneLine(text)
	w.checks = append(w.checks, text)
	w.line("# check: %s", text)
}

// quoted puts a text into quotes; what CommonMark would read as markup, and @,
// stands for itself.
func quoted(s string) string {
	s = oneLine(s)
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch r {
		case '\\':
			b.WriteString(`\\\\`)
		case '"':
			b.WriteString(`\"`)
		case '`', '*', '_', '[', ']', '<', '>', '&', '!', '~':
			if r == '!' || r == '~' || r == '>' {
				b.WriteRune(r)
				continue
			}
			b.WriteString(`\\`)
			b.WriteRune(r)
		case '@':
			b.WriteString(`\\@`)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// literal puts a title or an address into quotes: no markup is read in it.
func literal(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(oneLine(s)) + `"`
}

func write(m *maker, o Options) *writer {
	w := &writer{m: m, o: o, link: o.Video}
	body := &writer{m: m, o: o}
	body.nodes(&m.root.nodes)

	title := shorten(m.talk.title, 100)
	base := path.Base(strings.ReplaceAll(o.Name, "\\", "/"))
	if base == "." || base == "/" || base == "" {
		base = "standard input"
	}
	w.line("# A draft, made from %s: what was said, not what is right.", oneLine(base))
	w.line("# Each line that begins with \"# check:\" asks for what could not be told.")
	w.line("")
	w.line("library %s {", literal("Draft: "+title))
	w.line("language en")
	w.check("guarded, once the uncertainty of each instrument is stated")
	w.line("decision simple")
	w.line("}")
	w.line("")
	w.hazards()
	w.declare(tool)
	w.declare(part)
	w.declare(consumable)
	if len(body.videos) > 0 {
		w.line("")
		if w.link == "" {
			w.link = strings.TrimSuffix(base, path.Ext(base)) + ".mp4"
			w.check("where is the recording? (draft --video LINK)")
		}
		for _, v := range body.videos {
			w.line(v, literal(w.link))
		}
	}
	w.line("")
	id := m.unique(identifier(strings.Fields(title)), "procedure")
	w.line("procedure %s %s {", id, literal(title))
	w.check("document, revision, skill, purpose; what holds before the work begins (begins) and after it (ends)")
	w.line("")
	w.checks = append(w.checks, body.checks...)
	w.b.WriteString(body.b.String())
	w.line("}")
	return w
}

func (w *writer) hazards() {
	for _, h := range w.m.hazards {
		w.line("hazard %s %s %s {", h.id, h.signal, literal(h.title))
		w.check("is \"" + h.signal + "\" the right signal word? signs, safe when")
		if h.consequence != "" {
			w.line("consequence %s", literal(h.consequence))
		} else {
			w.check("what can happen? (consequence \"…\")")
		}
		if h.avoid != "" {
			w.line("avoid %s", literal(h.avoid))
		} else {
			w.check("how is it avoided? (avoid \"…\")")
		}
		w.line("}")
		w.line("")
	}
}

func (w *writer) declare(s class) {
	measures, sets := map[*thing]bool{}, map[*thing]bool{}
	for _, r := range w.m.readings {
		if r.taken {
			measures[r.with] = true
		}
	}
	each(w.m.root, func(st *step) {
		for _, a := range st.actions {
			if a.verb == "tighten" {
				sets[a.other] = true
			}
		}
	})
	any := false
	for _, t := range w.m.things {
		if t.sort != s || len(t.numbers) == 0 && !t.handled {
			continue
		}
		any = true
		w.things++
		if len(t.numbers) > 1 {
			w.check("several numbers were said for the " + t.title() + ": which is it?")
		}
		for _, c := range t.checks {
			w.check(t.title() + ": " + c)
		}
		if len(t.numbers) == 0 {
			w.check(t.title() + ": what is its number? none was said")
		}
		if measures[t] {
			w.check(t.title() + ": reads from … to …, resolution, uncertainty")
		}
		if sets[t] {
			w.check(t.title() + ": sets from … to …, uncertainty")
		}
		numbers := t.numbers
		if len(numbers) == 0 {
			numbers = []string{""}
		}
		for _, n := range numbers {
			w.line("%s %s %s {", s, t.id, literal(t.title()))
			if n != "" {
				w.line("number %s", literal(n))
			}
			if s == part && t.plural != "" && t.plural != t.title()+"s" {
				w.line("plural %s", literal(t.plural))
			}
			if t.mass != nil && s == part {
				w.line("mass %s", amountText(t.mass))
			}
			if s == tool && t.size != "" && (contains(t.words, "drill") || contains(t.words, "bit")) {
				w.line("drills %s", t.size)
			}
			if s == tool && t.thread != "" && contains(t.words, "tap") {
				insert := ""
				if contains(t.words, "insert") {
					insert = " for insert"
				}
				w.line("taps %s%s", t.thread, insert)
			}
			w.line("}")
		}
	}
	if any {
		w.line("")
	}
}

// each visits the steps in their order.
func each(b *body, f func(*step)) {
	for _, n := range b.nodes {
		switch n := n.(type) {
		case *step:
			f(n)
		case *stage:
			each(&n.body, f)
		case *decide:
			for _, br := range n.branches {
				each(&br.body, f)
			}
		}
	}
}

func (w *writer) nodes(list *[]node) {
	for _, n := range *list {
		switch n := n.(type) {
		case comment:
			text := oneLine(string(n))
			w.checks = append(w.checks, strings.TrimPrefix(text, "# check: "))
			w.line("%s", text)
		case *stage:
			if len(n.body.nodes) == 0 {
				break
			}
			w.line("stage %s {", quoted(n.title))
			w.nodes(&n.body.nodes)
			w.line("}")
		case *step:
			w.step(n)
		case *decide:
			w.decide(n)
		}
	}
}

func (w *writer) step(st *step) {
	for _, c := range st.checks {
		w.check(c)
	}
	text := capital(w.stepText(st))
	w.line("step \"%s\" {", text)
	takes := false
	for _, h := range st.warns {
		w.line("warn %s", h.id)
	}
	for _, a := range st.actions {
		if a.verb == "takes" {
			if takes {
				w.check("it also takes " + amountText(&a.values[0]))
				continue
			}
			takes = true
		}
		w.action(a)
	}
	if st.ask != nil {
		w.line("ask %s %s {", st.ask.id, quoted(st.ask.question))
		w.line("yes \"yes\"")
		w.line("no \"no\"")
		w.line("}")
	}
	for _, n := range st.notes {
		w.line("note %s", quoted(n))
	}
	if st.from >= 0 {
		from, to := st.from/1000, (st.to+999)/1000
		if to <= from {
			to = from + 1
		}
		id := w.m.unique("at-"+strings.ReplaceAll(clockText(from*1000), ":", "-"), "video")
		w.line("show %s", id)
		var words []token
		for _, t := range st.tokens {
			if t.kind != reference {
				words = append(words, t)
			}
		}
		title := capital(plain(trimmed(words)))
		w.videos = append(w.videos, strings.ReplaceAll(fmt.Sprintf("video %s %s { link ", id, literal(shorten(title, 40))), "%", "%%")+"%s"+
			fmt.Sprintf(" from %s to %s }", clockText(from*1000), clockText(to*1000)))
	}
	w.line("}")
}

func (w *writer) action(a *action) {
	item := func() string {
		if a.count > 1 {
			return fmt.Sprintf("%s x %d", a.thing.id, a.count)
		}
		return a.thing.id
	}
	switch a.verb {
	case "use", "release":
		w.line("%s %s", a.verb, a.thing.id)
	case "remove", "refit":
		w.line("%s %s", a.verb, item())
	case "fit":
		if a.fresh {
			w.line("fit new %s", item())
		} else {
			w.line("fit %s on %s", a.thing.id, a.other.id)
		}
	case "clamp":
		w.line("clamp %s in %s", a.thing.id, a.other.id)
	case "tighten":
		var rounds []string
		for i := range a.values {
			v := a.values[i].value
			if i == len(a.values)-1 || a.values[i].unit != a.values[len(a.values)-1].unit {
				v = amountText(&a.values[i])
			}
			rounds = append(rounds, v)
		}
		cross := ""
		if a.extra != "" {
			cross = " " + a.extra
		}
		w.line("tighten %s to %s%s with %s", item(), strings.Join(rounds, ", "), cross, a.other.id)
	case "drill":
		w.line("drill %s %s deep %s with %s", a.extra, amountText(&a.values[0]), amountText(&a.values[1]), a.other.id)
	case "tap":
		insert := ""
		if a.insert {
			insert = " for insert"
		}
		w.line("tap %s%s deep %s with %s", a.extra, insert, amountText(&a.values[0]), a.other.id)
	case "measure":
		r := a.reading
		if r.unit == "" {
			r.unit, r.guessed = usualUnit(r.words), true
		}
		if r.guessed {
			w.check("in " + r.unit + "? the talk does not say")
		}
		w.line("measure %s in %s with %s", r.id, r.unit, r.with.id)
	case "wait", "takes":
		w.line("%s %s", a.verb, amountText(&a.values[0]))
	}
}

func (w *writer) decide(d *decide) {
	if d.ask != nil {
		w.line("decide %s {", d.ask.id)
	} else {
		r := d.reading
		if r.unit == "" {
			r.unit, r.guessed = usualUnit(r.words), true
			w.check("limits in " + r.unit + "? the talk does not say")
		}
		if !r.taken {
			w.check("where is it measured, and with what?")
		}
		w.line("decide %s {", r.id)
	}
	for _, b := range d.branches {
		head := b.answer
		if d.ask == nil {
			head = b.span.text(d.reading.unit)
			if b.accept {
				head = "accept " + head
			}
		}
		if b.meaning != "" {
			head += " " + quoted(b.meaning)
		}
		w.line("%s {", head)
		w.nodes(&b.body.nodes)
		if b.finish != "" {
			w.line("finish %s %s", b.finish, quoted(b.text))
		}
		w.line("}")
	}
	w.line("}")
}

// stepText gives a step's text, in which what the step handles is mentioned; so
// is a part that is taken for the work and that no step handles, for then check
// tells of it.
func (w *writer) stepText(st *step) string {
	uses := map[int]use{}
	for _, u := range st.names {
		if u.n.pronoun == "" {
			uses[u.n.from] = u
		}
	}
	var b strings.Builder
	open := true
	put := func(s string, glued bool) {
		if b.Len() > 0 && !glued && !open {
			b.WriteByte(' ')
		}
		open = false
		b.WriteString(s)
	}
	escape := func(s string) string { q := quoted(s); return q[1 : len(q)-1] }
	for i := 0; i < len(st.tokens); {
		u, ok := uses[i]
		if ok && u.n.to <= len(st.tokens) && u.n.to > i {
			put(w.mention(st, u, escape), false)
			i = u.n.to
			continue
		}
		t := &st.tokens[i]
		switch {
		case t.kind == mark && t.low == "(":
			put("(", false)
			open = true
		case t.kind == mark && t.low == "–":
			put("–", false)
		case t.kind == mark:
			put(escape(t.text), true)
		case t.kind == amount && t.unit == degrees:
			put(t.value+" degrees", false)
		case t.kind == amount:
			put(amountText(t), false)
		default:
			put(escape(t.text), false)
		}
		i++
	}
	s := b.String()
	for strings.HasSuffix(s, ",") || strings.HasSuffix(s, " –") || strings.HasSuffix(s, ":") {
		s = strings.TrimRight(s, ",– :")
	}
	return s + "."
}

// mention writes a thing's name in a text.
func (w *writer) mention(st *step, u use, escape func(string) string) string {
	n, t := u.n, u.t
	asSaid := func() string {
		if n.nounTo <= n.from || st.tokens[n.nounTo-1].kind == reference {
			return escape(t.title())
		}
		var out []string
		for _, x := range st.tokens[n.from:n.nounTo] {
			if x.kind == amount {
				out = append(out, amountText(&x))
			} else if x.kind != reference {
				out = append(out, escape(x.text))
			}
		}
		return strings.Join(out, " ")
	}
	if !st.handles(t) && (t.handled || !slices.Contains(st.claimed, t)) {
		return asSaid()
	}
	count := 0
	for _, a := range st.actions {
		if a.thing == t && a.count > count {
			count = a.count
		}
	}
	if n.plural != "" && t.sort == part {
		if count < 2 && n.count < 2 {
			if st.handles(t) {
				return asSaid()
			}
			return "the @" + t.id
		}
		if !st.handles(t) {
			count = n.count
		}
		fresh := ""
		for _, x := range st.tokens[n.from:n.nounTo] {
			if x.kind == word && passing[x.low] && fresh == "" {
				fresh = escape(x.text) + " "
			}
		}
		return fmt.Sprintf("%s@%s x %d", fresh, t.id, max(count, 1))
	}
	var before []string
	for i, x := range st.tokens[n.from:n.nounTo] {
		if x.kind == word && len(before) < 4 && (determiners[x.low] || x.is("own", "of") || passing[x.low] || portions[x.low] && i+1 < n.nounTo-n.from && st.tokens[n.from+i+1].is("of")) {
			before = append(before, escape(x.text))
			continue
		}
		break
	}
	if len(before) == 0 && t.sort != consumable && n.ref != "" {
		before = []string{"the"}
	}
	return strings.Join(append(before, "@"+t.id), " ")
}
