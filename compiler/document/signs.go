package document

import (
	"strings"
	"sync"
)

// signWords are the referents of the signs of ISO 7010 that a workshop meets, in
// the languages behind English: de, fr, es, it, pl. After the national editions
// of the standard (DIN EN ISO 7010, NF EN ISO 7010, UNE-EN, UNI EN, PN-EN ISO
// 7010), from memory. One that is not here is shown by its number alone.
const signWords = `
M001|Allgemeines Gebotszeichen|Signal général d’obligation|Señal general de obligación|Obbligo generico|Ogólny znak nakazu
M002|Gebrauchsanweisung beachten|Consulter le manuel ou la notice d’instructions|Consultar el manual de instrucciones|Leggere le istruzioni|Przeczytaj instrukcję
M003|Gehörschutz benutzen|Porter des protections auditives|Usar protección auditiva|Indossare le protezioni dell’udito|Nakaz stosowania ochrony słuchu
M004|Augenschutz benutzen|Porter des lunettes de protection|Usar protección ocular|Indossare le protezioni degli occhi|Nakaz stosowania ochrony oczu
M005|Vor Benutzung erden|Mettre à la terre avant utilisation|Conectar a tierra antes de usar|Collegare a terra prima dell’uso|Uziemić przed użyciem
M006|Netzstecker ziehen|Débrancher la prise d’alimentation|Desconectar la clavija de la red|Staccare la spina dalla presa di corrente|Odłączyć wtyczkę od gniazda
M007|Weitgehend lichtundurchlässigen Augenschutz benutzen|Porter des protections oculaires opaques|Usar protección ocular opaca|Indossare protezioni opache degli occhi|Nakaz stosowania nieprzezroczystej ochrony oczu
M008|Fußschutz benutzen|Porter des chaussures de sécurité|Usar calzado de seguridad|Indossare calzature di sicurezza|Nakaz stosowania obuwia ochronnego
M009|Handschutz benutzen|Porter des gants de protection|Usar guantes de protección|Indossare guanti protettivi|Nakaz stosowania rękawic ochronnych
M010|Schutzkleidung benutzen|Porter des vêtements de protection|Usar ropa de protección|Indossare indumenti protettivi|Nakaz stosowania odzieży ochronnej
M011|Hände waschen|Se laver les mains|Lavarse las manos|Lavarsi le mani|Nakaz mycia rąk
M012|Handlauf benutzen|Utiliser la main courante|Usar el pasamanos|Usare il corrimano|Korzystaj z poręczy
M013|Gesichtsschutz benutzen|Porter une visière de protection|Usar pantalla facial|Indossare lo schermo facciale|Nakaz stosowania osłony twarzy
M014|Kopfschutz benutzen|Porter un casque de protection|Usar casco de protección|Indossare il casco di protezione|Nakaz stosowania ochrony głowy
M015|Warnweste benutzen|Porter un vêtement à haute visibilité|Usar ropa de alta visibilidad|Indossare indumenti ad alta visibilità|Nakaz stosowania odzieży ostrzegawczej
M016|Maske benutzen|Porter un masque|Usar mascarilla|Indossare la maschera|Nakaz stosowania maski
M017|Atemschutz benutzen|Porter des protections respiratoires|Usar protección respiratoria|Indossare le protezioni delle vie respiratorie|Nakaz stosowania ochrony dróg oddechowych
M018|Auffanggurt benutzen|Porter un harnais de sécurité|Usar arnés de seguridad|Indossare l’imbracatura di sicurezza|Nakaz stosowania szelek bezpieczeństwa
M019|Schweißmaske benutzen|Porter un masque de soudage|Usar máscara de soldadura|Indossare la maschera per saldatura|Nakaz stosowania maski spawalniczej
M020|Rückhaltesystem benutzen|Mettre la ceinture de sécurité|Usar cinturón de seguridad|Allacciare le cinture di sicurezza|Nakaz zapięcia pasów bezpieczeństwa
M021|Vor Wartung oder Reparatur freischalten|Débrancher avant toute maintenance ou réparation|Desconectar antes del mantenimiento o la reparación|Disinserire prima di manutenzione o riparazione|Odłączyć przed konserwacją lub naprawą
M022|Hautschutzmittel benutzen|Utiliser une crème de protection|Usar crema protectora|Usare la crema barriera|Nakaz stosowania kremu ochronnego
M026|Schutzschürze benutzen|Porter un tablier de protection|Usar delantal de protección|Indossare il grembiule di protezione|Nakaz stosowania fartucha ochronnego
M027|Schutzeinrichtung prüfen|Vérifier le protecteur|Comprobar el resguardo|Controllare la protezione|Sprawdź osłonę
M028|Verschlossen halten|Maintenir verrouillé|Mantener cerrado con llave|Tenere chiuso a chiave|Trzymać zamknięte
M032|Antistatisches Schuhwerk benutzen|Porter des chaussures antistatiques|Usar calzado antiestático|Indossare calzature antistatiche|Nakaz stosowania obuwia antystatycznego
P001|Allgemeines Verbotszeichen|Signal général d’interdiction|Señal general de prohibición|Divieto generico|Ogólny znak zakazu
P002|Rauchen verboten|Interdiction de fumer|Prohibido fumar|Vietato fumare|Zakaz palenia tytoniu
P003|Keine offene Flamme|Flammes nues interdites|Prohibido encender fuego y llamas abiertas|Vietato usare fiamme libere|Zakaz używania otwartego ognia
P005|Kein Trinkwasser|Eau non potable|Agua no potable|Acqua non potabile|Woda niezdatna do picia
P007|Kein Zutritt für Personen mit Herzschrittmachern oder implantierten Defibrillatoren|Entrée interdite aux porteurs d’un dispositif cardiaque actif implanté|Prohibido el acceso a personas con dispositivos cardiacos activos implantados|Vietato l’accesso ai portatori di dispositivi cardiaci attivi impiantati|Zakaz wstępu osobom z wszczepionymi urządzeniami kardiologicznymi
P008|Mitführen von Metallteilen oder Uhren verboten|Articles métalliques ou montres interdits|Prohibidos los objetos metálicos y los relojes|Vietato portare oggetti metallici o orologi|Zakaz noszenia przedmiotów metalowych i zegarków
P010|Berühren verboten|Ne pas toucher|No tocar|Vietato toccare|Nie dotykać
P011|Mit Wasser löschen verboten|Défense d’éteindre avec de l’eau|Prohibido apagar con agua|Vietato spegnere con acqua|Zakaz gaszenia wodą
P013|Eingeschaltete Mobiltelefone verboten|Téléphones mobiles activés interdits|Prohibido el uso de teléfonos móviles|Vietato l’uso di telefoni cellulari|Zakaz używania telefonów komórkowych
P015|Hineinfassen verboten|Ne pas introduire les mains|Prohibido meter las manos|Vietato introdurre le mani|Zakaz wkładania rąk
P016|Mit Wasser spritzen verboten|Ne pas arroser|Prohibido rociar con agua|Vietato spruzzare acqua|Zakaz polewania wodą
P022|Essen und Trinken verboten|Ne pas manger ni boire|Prohibido comer y beber|Vietato mangiare e bere|Zakaz jedzenia i picia
P028|Benutzen von Handschuhen verboten|Port de gants interdit|Prohibido usar guantes|Vietato indossare guanti|Zakaz używania rękawic
P031|Schalten verboten|Ne pas modifier l’état de l’interrupteur|No accionar el interruptor|Vietato azionare l’interruttore|Nie przełączać
P034|Nicht für handgeführtes Schleifen|Ne pas utiliser avec une meuleuse à main|No usar con amoladora manual|Non usare con smerigliatrice manuale|Nie używać ze szlifierką ręczną
P039|Heißarbeiten verboten|Travaux à chaud interdits|Prohibidos los trabajos en caliente|Vietati i lavori a caldo|Zakaz prac gorących
W001|Allgemeines Warnzeichen|Danger général|Advertencia general|Pericolo generico|Ogólny znak ostrzegawczy
W002|Explosionsgefährliche Stoffe|Matières explosives|Materias explosivas|Materiale esplosivo|Materiały wybuchowe
W003|Radioaktive Stoffe oder ionisierende Strahlung|Matières radioactives ou radiations ionisantes|Materias radiactivas o radiación ionizante|Materiale radioattivo o radiazioni ionizzanti|Materiał radioaktywny lub promieniowanie jonizujące
W004|Laserstrahl|Rayonnement laser|Radiación láser|Raggio laser|Wiązka laserowa
W005|Nicht ionisierende Strahlung|Radiations non ionisantes|Radiación no ionizante|Radiazioni non ionizzanti|Promieniowanie niejonizujące
W006|Magnetisches Feld|Champ magnétique|Campo magnético|Campo magnetico|Pole magnetyczne
W007|Hindernisse am Boden|Trébuchement|Obstáculo en el suelo|Ostacolo in basso|Przeszkoda na podłożu
W008|Absturzgefahr|Chute avec dénivellation|Caída a distinto nivel|Caduta con dislivello|Niebezpieczeństwo upadku
W009|Biogefährdung|Danger biologique|Riesgo biológico|Rischio biologico|Zagrożenie biologiczne
W010|Niedrige Temperatur oder Frost|Basse température|Baja temperatura|Bassa temperatura|Niska temperatura
W011|Rutschgefahr|Surface glissante|Suelo resbaladizo|Superficie scivolosa|Śliska powierzchnia
W012|Elektrische Spannung|Électricité|Riesgo eléctrico|Elettricità|Napięcie elektryczne
W014|Flurförderzeuge|Véhicules de manutention|Vehículos de manutención|Carrelli elevatori e altri veicoli industriali|Wózki widłowe i inne pojazdy
W015|Schwebende Last|Charges suspendues|Cargas suspendidas|Carichi sospesi|Wiszące ciężary
W016|Giftige Stoffe|Matières toxiques|Materias tóxicas|Materiale tossico|Materiały toksyczne
W017|Heiße Oberfläche|Surface chaude|Superficie caliente|Superficie calda|Gorąca powierzchnia
W018|Automatischer Anlauf|Démarrage automatique|Arranque automático|Avviamento automatico|Samoczynny rozruch
W019|Quetschgefahr|Écrasement|Aplastamiento|Schiacciamento|Niebezpieczeństwo zgniecenia
W020|Hindernisse im Kopfbereich|Obstacle en hauteur|Obstáculo en altura|Ostacolo in alto|Przeszkoda na wysokości głowy
W021|Feuergefährliche Stoffe|Matières inflammables|Materias inflamables|Materiale infiammabile|Materiały łatwopalne
W022|Spitzer Gegenstand|Élément pointu|Elemento cortante|Elemento tagliente|Ostry element
W023|Ätzende Stoffe|Substances corrosives|Sustancias corrosivas|Sostanza corrosiva|Substancje żrące
W024|Handverletzungen|Écrasement des mains|Aplastamiento de las manos|Schiacciamento delle mani|Niebezpieczeństwo zgniecenia dłoni
W025|Gegenläufige Rollen|Rouleaux contrarotatifs|Rodillos en rotación inversa|Rulli controrotanti|Walce przeciwbieżne
W026|Laden von Batterien|Charge de batteries|Carga de baterías|Ricarica di batterie|Ładowanie akumulatorów
W027|Optische Strahlung|Rayonnement optique|Radiación óptica|Radiazione ottica|Promieniowanie optyczne
W028|Brandfördernde Stoffe|Substances comburantes|Sustancias comburentes|Sostanza comburente|Substancje utleniające
W029|Gasflaschen|Bouteilles sous pression|Botellas a presión|Bombole in pressione|Butle pod ciśnieniem
W035|Herabfallende Gegenstände|Chute d’objets|Caída de objetos|Caduta di oggetti|Spadające przedmioty
W038|Plötzlicher Lärm|Bruit soudain et fort|Ruido fuerte repentino|Rumore forte improvviso|Nagły głośny dźwięk
W041|Erstickungsgefahr|Atmosphère asphyxiante|Atmósfera asfixiante|Atmosfera asfissiante|Atmosfera dusząca
W042|Lichtbogen|Arc électrique|Arco eléctrico|Arco elettrico|Łuk elektryczny
W079|Heißer Inhalt|Contenu chaud|Contenido caliente|Contenuto caldo|Gorąca zawartość
`

// signColumns are the languages of the table's columns.
var signColumns = []string{"de", "fr", "es", "it", "pl"}

var signTable = sync.OnceValue(func() map[string][]string {
	table := map[string][]string{}
	for line := range strings.SplitSeq(strings.TrimSpace(signWords), "\n") {
		cells := strings.Split(line, "|")
		table[cells[0]] = cells[1:]
	}
	return table
})

// referent is what a sign means in the language of the words: as the register has
// it in English; empty where it is not known in the language.
func (w *Words) referent(code, english string) string {
	if w.Tag == "en" {
		return english
	}
	cells := signTable()[code]
	for i, tag := range signColumns {
		if tag == w.Tag && i < len(cells) {
			return cells[i]
		}
	}
	return ""
}
