package draft

// The closed lists of words behind the guesses. They hold what is common at a
// bench; a word that is on none is taken as it stands.

// verbs begin an instruction; those with an effect are among them.
var verbs = union(removes, removesWith, fits, fitsWith, picks, tightens, lets, set(`add adjust align apply assemble attach bend blow blue bolt break bring brush centre center change charge check clamp clean clear clip close collect
	connect cool count cover crimp cut deburr degrease detach dip disassemble disconnect dismantle dismount do drain draw drill drive drop dry ease empty
	examine exchange extract feel fetch file fill fish fit fix flush fold get gauge give glue go grab grease grind hammer hand hang heat hoist hold hook insert inspect
	install isolate join keep knock label lap lay leave let level lever lift listen load lock look loosen lower lubricate make mark mask measure mix mount move
	note oil open pack paint peel pick pinch place plug point polish pour preload press prise prove pry pull pump punch push put raise read ream reassemble reattach
	record refill refit reinstall release remount remove repeat replace reset rest rinse roll rotate rub run sand scrape screw seal seat secure set shake shim
	shut slacken slide slip smear solder spin spray squeeze stamp stand start stay stick stop straighten strip support swing switch tag take tap tape tell test thread tie
	tighten tilt torque touch trim try turn twist unbolt unclamp unclip undo unfasten unhook unlock unplug unscrew untie use vent verify wait warm warn wash watch wear
	wedge weigh wet wind wipe withdraw work wrap write zero call inform refer send scrap throw bin discard reuse continue carry ask report jack pour soak torch dress blank crack top prop drift chock shore pad dab dust nip nudge pinch rap rasp rivet scour shear snip sponge stake stir tack tamp unclog unblock unjam unlatch wiggle renew suck siphon attach dab wedge sign compare count bleed prime steady shield reconnect recheck remeasure retighten reopen refasten spread stretch squeeze brace sling preheat pre-load grasp grip guide ride reverse invert level park isolate earth ground short bridge flip unroll unfold unpack unwrap unwind uncover uncouple couple enter stow scrub sweep vacuum skim score bevel chamfer countersink ream file knurl hone balance bag box crate stack sort size shape trace scribe punch stencil swap transfer confirm observe watch witness choose select pick place position rest orient line thread feed route lace strap lash rope chain hitch winch crank`))

func union(sets ...map[string]bool) map[string]bool {
	out := map[string]bool{}
	for _, m := range sets {
		for w := range m {
			out[w] = true
		}
	}
	return out
}

// participles are forms in -ed or the like whose verb has another spelling.
var participles = map[string]string{"taken": "take", "drawn": "draw", "driven": "drive", "put": "put", "set": "set", "cut": "cut", "wound": "wind", "broken": "break", "held": "hold",
	"ground": "grind", "shut": "shut", "undone": "undo", "hung": "hang", "laid": "lay", "brought": "bring", "sent": "send", "thrown": "throw", "worn": "wear", "wet": "wet", "read": "read", "done": "do"}

// subjects are those who do it.
var subjects = set(`you we i`)

// noTask are verbs that tell of the speaker, not of the job, behind a subject.
var noTask = set(`see know think guess mean like want need hope believe say call have do find hear show tell work feel talk`)

// alarms begin a warning.
var alarms = set(`caution warning danger attention careful beware`)

var auxiliaries = set(`is are was were has have had can can't cannot could will won't would may might must should shall do does did isn't aren't wasn't doesn't don't didn't it's that's there's you're we're they're i'm i've you've we've it'll you'll they'll gets get's goes comes needs`)

var determiners = set(`the a an this that these those your my our its their his her both all each every another any some no`)

var pronouns = set(`it them that this everything one ones these those they he she him her us me itself there here what which who something anything nothing`)

var prepositions = set(`with using on onto in into under behind over from to against around round between of at by through across for along after before above below inside beside near next until till without about as like per than within off out up down beneath toward towards opposite`)

var particles = set(`off out away on in back home up down over apart again together through along`)

// closed are words that no name of a thing holds.
var closed = func() map[string]bool {
	out := set(`get put take make let keep give come bring
		and or but so then now if when while because until till unless where than as not never don't just also only first finally again slowly too very really quite almost
		go home back off out away up down on in over there here together apart crosswise crossways diagonally evenly gently tight hard later already still yet once twice ever
		weighs measures reads shows leaks drips sits looks comes goes gets stays feels says gives means makes wants binds
		i you we he she they it me us them myself yourself ourselves itself who which what that's it's there's here's how why whether
		least most more less enough free face deep long wide thick yes yeah no nope okay ok right well thanks bye
		please maybe perhaps anyway otherwise instead today tomorrow always usually usual though`)
	for _, m := range []map[string]bool{prepositions, auxiliaries, pronouns} {
		for w := range m {
			out[w] = true
		}
	}
	delete(out, "next")
	return out
}()

// states are what something is made by an action: they end a thing's name, but
// may begin it ("clean cloth").
var states = set(`clean dry flat loose tight free square hard open shut closed upright straight empty warm hot cold true flush central`)

// passing are qualities that come and go: they are no part of a thing's name.
var passing = set(`new old worn used same other whole entire fresh clean spare original damaged dirty little old-one first second third last next remaining brand-new brand good bad loose`)

// toolWords and the like are the last words of names.
var (
	toolWords = set(`puller wrench spanner socket driver screwdriver gauge gage micrometer caliper calliper hammer mallet vice vise drill bit cone hook press tap reamer mandrel
		drift punch chisel thermometer tester meter multimeter indicator gun hoist crane sling jig fixture lamp torch loupe grinder scraper edge ruler rule pliers tongs tweezers
		heater oven stand lever bar ratchet extension key-puller extractor die saw file pump square level bath lathe clamp tool card stethoscope shears snips cutter crimper
		jack block trestle tachometer stroboscope magnet mirror syringe brush pump plate`)
	partWords = set(`seal nut bolt gasket ring o-ring bearing sleeve shaft impeller cover key pin spring valve plug housing flange screw washer insert coupling rotor gland packing lid
		hose filter cartridge diaphragm stem disc disk seat unit follower spider guard bonnet wedge casing hub link stud collar circlip clip bush bushing gear wheel belt chain rod piston
		cylinder cap terminal fuse cable rotor stator fan vane blade liner shim element bowl strainer motor pump-head spacer retainer lock-plate body plunger ball float arm lever-arm hinge yoke spindle gate`)
	consumableWords = set(`oil grease water paste cleaner sealant adhesive spirit solvent compound lubricant thinner alcohol degreaser primer flux foam blue tape soap wax`)
	// toolNames are names whose last word alone would mislead.
	toolNames = set(`hex-key allen-key torque-driver straight-edge hand-press draw-bolt surface-plate feeler-gauge drill-bit pin-punch seal-hook circlip-pliers insert-tap test-pump hand-pump pry-bar air-gun gas-torch heat-gun pillar-drill bench-drill bench-vice draw-key valve-key tap-wrench spring-balance seal-puller`)
	// portions stand before "of" and the name of what is meant: "a bit of oil".
	portions = set(`bit drop drops lot piece pieces set pair bead strip film dab layer splash ring coat couple litre litres cup length roll sheet few touch thin plenty amount`)
	// noNames are words that stand beside a number and name nothing.
	noNames = set(`piece pcs pc type size make model reference code tag label page step`)
	// sundries are tools of which nobody keeps a list.
	sundries = set(`rag cloth brush hand hands finger fingers paper towel wipe pencil pen chalk marker bucket tray`)
)

// instruments are the last words of what shows a value.
var instruments = set(`micrometer caliper calliper gauge gage indicator thermometer tester meter multimeter manometer tachometer scale balance loupe stethoscope ruler rule`)

// junk is what is removed and is no part.
var junk = set(`dirt dust chip chips swarf burr burrs grease oil water air rust scale residue paint debris lime sludge rest remains pressure load power lock padlock tag label time photo picture reading look note care glove gloves goggles mask step turn breath moment ones one lot everything edge corner`)

// places are where things are laid down: nothing is fitted there.
var places = set(`bench table cloth floor side tray rag box cabinet drawer rack shelf toolbox workshop shop ground paper cardboard block blocks stand pallet store stores bin sheet scale balance hand hands face`)

// storage is where tools go.
var storage = set(`box cabinet drawer rack shelf toolbox store stores case`)

// Effects of verbs. The first take a thing off whatever follows; the second
// only with "off", "out" or "away".
var (
	removes     = set(`remove unscrew undo unbolt detach dismount unclip extract disconnect unfasten withdraw unplug unhook`)
	removesWith = set(`drift take pull lift draw slide knock drive press push peel pry prise lever screw strip get hook wind work ease slip scrape fish tap bring hoist`)
	fits        = set(`install insert fit refit reinstall mount remount reattach attach connect`)
	fitsWith    = set(`put plug slide push press screw set lay place hook lift drop wind bolt clip thread slip fix hang ease lower seat roll tap drive hoist bring`)
	picks       = set(`take get grab pick fetch`)
	tightens    = set(`tighten torque tension`)
	lets        = set(`watch wait let leave stand soak cool run cure hold rest dry test keep boil`)
)

// harms and damage in what is said of a danger.
var (
	lethal   = set(`kill kills killed death dead deadly fatal die electrocute electrocuted live`)
	injuring = set(`injure injures injury hurt hurts burn burns burned burnt scald scalds crush crushes crushed cut cuts hit hits blind eye eyes hand hands finger fingers skin face head foot feet toes gloves hair hot steam pressure sharp
		pinch pinches pinched explode explodes burst bursts jump jumps fall falls drop drops fly flies sparks fumes acid yourself trap trapped catch catches spring springs`)
	harmVerbs = set(`injure hurt burn scald crush cut hit blind pinch explode trap catch kill poison choke shock infect`)
	damaging  = set(`score scores scored scratch scratches scratched ruin ruins ruined break breaks broken damage damages damaged crack cracks cracked strip strips wear wears bend bends leak leaks seize seizes mark marks finished goes dirt burns`)
)

// avoiding are verbs with which a warning says what keeps a person safe.
var avoiding = set(`stand keep stay step`)

// temperatureWords and angleWords tell what degrees are of, by their beginnings.
var (
	temperatureWords = []string{"warm", "heat", "hot", "cool", "cold", "oven", "temperature", "dry", "burn", "grease", "boil", "steam", "torch", "thermometer", "bath", "cure", "celsius"}
	angleWords       = []string{"turn", "rotat", "tilt", "angle", "swivel", "twist", "open", "swing", "hinge", "bevel", "chamfer", "offset", "index", "clock"}
)

// leadIns are said before an instruction and are no part of it, the longest first.
var leadIns = []string{
	"the first thing you do is", "the first thing we do is", "the first thing i do is", "the next thing you do is", "the next thing we do is", "the next thing i do is", "the last thing you do is", "the last thing we do is", "the last thing i do is",
	"what i want you to do first is", "what i want you to do next is", "what i want you to do is", "what i'd like you to do is", "what you do first is", "what you do next is", "what we do first is", "what you have to do is", "what you need to do is", "what happens next is", "i want you to", "i'd like you to", "i would like you to", "i need you to", "you're going to have to", "it's best to",
	"before you do anything else", "before you do anything", "before we do anything",
	"first of all", "before anything else", "after that", "once that's done", "when that's done", "at this point", "at the same time", "in the end", "to begin with", "to start with", "last but not least",
	"the first thing is", "the next thing is", "the next step is", "the last thing is", "the last step is", "the first step is", "what you do is", "what we do is", "what i do is", "all you do is", "don't forget to", "do not forget to", "remember to", "make sure to", "be sure to", "go ahead and", "you want to", "we want to", "you'll want to", "the trick is to", "it's time to", "time to",
	"okay", "ok", "right", "now", "then", "next", "first", "firstly", "second", "secondly", "third", "finally", "lastly", "so", "and", "also", "well", "again", "here", "yeah", "yes", "anyway", "but", "oh", "alright", "good", "great", "perfect", "there", "just", "simply", "always", "afterwards", "afterward", "step one", "step two", "step three", "step four", "step five", "to", "hey",
}

// helpers stand between a subject and what it does.
var helpers = []string{
	"are going to", "am going to", "have got to", "have to", "need to", "want to", "ought to", "are to", "should", "must", "can", "will", "shall", "are gonna", "gonna", "gotta", "go and", "try to", "like to", "now", "then", "just", "always", "simply", "also", "only", "first", "carefully", "slowly", "gently", "quickly", "usually", "start to", "start by", "begin by", "finish by", "next", "finally", "again", "still", "better", "both", "all",
}

// shortForms are subjects with a helper grown on.
var shortForms = map[string][2]string{
	"you're": {"you", "are"}, "we're": {"we", "are"}, "i'm": {"i", "am"}, "you'll": {"you", "will"}, "we'll": {"we", "will"}, "i'll": {"i", "will"}, "you've": {"you", "have"}, "we've": {"we", "have"}, "i've": {"i", "have"}, "let's": {"we", "will"}, "you'd": {"you", "should"},
}
