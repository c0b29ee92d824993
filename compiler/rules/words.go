package rules

import "strings"

// The bounded lists behind the rules of wording. They hold what is surely
// meant; what is not on a list is let pass. Chosen by us (common practice of
// technical writing: one instruction first, no vague words).

func wordSet(text string) map[string]bool {
	out := map[string]bool{}
	for _, w := range strings.Fields(text) {
		out[w] = true
	}
	return out
}

// noInstruction are words with which no instruction begins.
var noInstruction = wordSet(`the a an this that these those it its there here you your we our i my he she they their someone everyone everybody nobody
	must should shall may might can could would will is are was were be been being am does did has had
	because since although though however therefore thus which whose whoever`)

// aside are words that announce a remark where they stand alone before a
// colon, dash or exclamation mark.
var aside = wordSet(`caution warning danger attention important note notice remark hint tip hazard`)

// openers begin a condition or a circumstance: what follows may be an instruction.
var openers = wordSet(`if when whenever where wherever while once after before until unless as with without on in at to for from during by under over
	now next then first finally again also never always do don't not only what how why who please`)

// auxiliary words make a statement of what they stand in.
var auxiliary = wordSet(`is are was were must should shall will has have had can cannot can't may might would could needs`)

// actionNouns name a job instead of asking for it.
var actionNouns = wordSet(`removal installation inspection measurement assembly disassembly adjustment replacement cleaning lubrication alignment tightening
	loosening fitting checking testing calibration verification preparation dismantling reassembly refitting mounting draining filling`)

// noGerund are words in -ing that are no form of a verb, or a verb themselves.
var noGerund = wordSet(`bring ring swing sling wring fling sting string spring cling king thing nothing something everything anything during following using
	starting beginning going working wearing standing holding keeping bearing`)

// verbs are what an instruction at the bench begins with.
var verbs = wordSet(`accept add adjust align allow apply approach arrange ask assemble attach
	balance bend bleed blow blue bolt break bring brush build
	calculate calibrate call cap carry catch centre center change charge check choose clamp clean clear clip close coat collect compare compress confirm connect continue cool correct count cover crack crimp cut
	dab deburr decide degrease depress detach determine dip disassemble discard discharge disconnect dismantle dispose divide drain draw dress drift drill drip drive drop dry
	ease empty enter ensure examine exchange extract
	fasten feel feed fetch file fill find finish fit fix flush fold follow free
	gauge get give glue go grasp grease grind grip guide
	hammer hand hang have heat hoist hold hook
	identify immerse inform insert inspect install insulate invert isolate
	join keep kneel knock
	label lap lay lead leave let level lever lift light line listen load lock log look loosen lower lubricate
	make mark mask measure melt mesh mix monitor mount move
	note notify number
	observe offer oil open operate order
	pack paint part pass peel pick pinch place plan plug point polish position pour pre-load preheat preload prepare press prevent prime probe protect prove prise pry pull pump punch push put
	raise read ream reassemble recheck reconnect record reduce refill refit reinstall release remeasure remove repair repeat replace report reset rest restore retain return reverse revolve ride rinse roll rope rotate rub run
	save saw scan scrape scratch screw scribe seal seat secure see select send separate set shake shield shift shim show shut sign slacken slide sling slip smear snap soak solder sort spin split spray spread squeeze stamp stand start steady stick stop store straighten strap stretch strike strip supply support suspend swing switch swivel
	tag take tap tape tell test thread tie tighten tilt tip top torque touch trace transfer treat trim try turn twist
	unbolt unclamp unclip uncouple uncover unhook unlock unpack unplug unscrew unstrap untie unwind use
	vent verify
	wait warm warn wash watch wear wedge weigh weld wet wind wipe withdraw wrap wring write
	zero`)

// doubtful are verbs that are as often the name of a thing or a quality: behind
// a comma or "and" they count only where something follows that they act on.
var doubtful = wordSet(`balance blue bolt break brush cap centre center change charge check clamp clean clear clip close coat cool correct count cover crack cut dip discharge draw dress drain drift drill drip drive drop dry empty
	exchange feed feel file fill find finish fit fix flush fold free gauge glue grease grip guide hammer hand hang heat hoist hold hook join label lap lay lead level lever lift light line load lock log look lower mark mask measure mesh mix mount move number offer oil open order
	pack paint part pass peel pick pinch place plan plug point polish position press prime probe pull pump punch push ream record release repair report reset rest return reverse ride ring roll rope rub run
	saw scan scratch screw seal seat set shield shift shim show sign slide sling slip smear solder sort spin split spray spread stamp stand start stick stop store strap strike strip supply support swing switch
	tag tap tape test thread tie tip top torque touch trace transfer treat trim try turn twist use vent wash watch wear wedge weld wet wind wrap zero`)

// takers begin what a verb acts on, or where it goes.
var takers = wordSet(`the a an it its them your both all each every this that these those any one two three four five six seven eight
	out off back away again home loose`)

// skippable words may stand between "and" and a verb.
var skippable = wordSet(`then now also next first again finally immediately gently slowly quickly lightly evenly just always`)

// vague are words and phrases that leave open what is meant.
var vague = phraseList([]string{
	"properly", "adequately", "sufficiently", "suitably", "appropriately", "correctly", "accordingly", "reasonably", "securely", "thoroughly", "carefully", "satisfactorily",
	"proper", "adequate", "sufficient", "suitable", "appropriate", "satisfactory", "reasonable",
	"as required", "as necessary", "as needed", "as appropriate", "as applicable", "as usual", "as desired",
	"if required", "if necessary", "if needed", "if possible", "if applicable", "if appropriate", "if desired",
	"when required", "when necessary", "when needed", "when appropriate", "where required", "where necessary", "where needed", "where applicable", "where appropriate", "where possible", "wherever possible",
	"with care", "with caution", "with due care", "in a proper way", "in the usual way", "in the usual manner", "in the normal way", "to the right extent",
	"tight enough", "long enough", "hot enough", "warm enough", "clean enough", "far enough", "deep enough", "dry enough", "good enough", "hard enough", "strong enough",
	"from time to time", "now and then", "every so often", "periodically", "regularly", "occasionally", "frequently",
	"more or less", "or so", "or thereabouts", "or similar", "or the like", "and so on", "and so forth", "and the like", "etc", "somehow",
	"for some time", "for a while", "a short while", "some time", "as soon as possible", "to satisfaction",
	"in good condition", "in good order", "to the correct torque", "to the right torque", "the correct torque", "the right torque", "the specified torque", "the recommended torque", "the required torque",
	"the specified value", "the recommended value", "the required value", "the correct value",
})

// cautions begin a warning.
var cautions = phraseList([]string{
	"be careful", "be aware", "be cautious", "take care", "beware", "watch out", "look out", "mind the", "mind your", "mind that", "caution", "warning", "danger", "attention",
	"do not", "don't", "never", "avoid", "risk of", "danger of", "hazard",
	"taking care", "being careful", "keep clear", "keep your hands", "keep your fingers", "keep hands", "keep fingers",
})

// turned are cautions that a clause may hold behind its action. "Do not" is
// one only where the clause stands for itself.
var turned = phraseList([]string{"be careful", "beware", "take care", "taking care", "being careful", "watch out", "mind the", "mind your", "caution"})

// harms are what a thing does to a person.
var harms = wordSet(`injure injures burn burns scald scalds crush crushes hurt hurts kill kills explode explodes pinch pinches electrocute blind cut shock`)

// harmed says that a person is meant.
var harmed = wordSet(`you your hands hand fingers finger eyes eye skin people person someone anyone`)
