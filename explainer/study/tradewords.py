"""Words of the trade, of sheets and of the calendar, which head columns and name tabs and nobody.

Among them all of the glossary, the units and what a draft reads in heads (held by a test); of a
plural the singular is enough.  What people are called as well (Grace, Lane) stands in ``naming``.
"""

from __future__ import annotations

_WORDS = """
abend abrasive absorbs absorption accuracy accurate action adjusted adjustment after again against
ageing aging aiming alarm along alteration altered altering an analysis and angle animal annual
anything appraiser approach approved apr arc archive arcing area arena arithmetic arm arrow as
associated association asymmetric asymmetrical at attempt attendance aug autocorrelation ave avg
axes axis baby back backed backend backup bahn bahnen balance ball balling band baseline batch
bedding before bemerkung bemerkungen benchmark benefit best between bevel beyond bias biased blad
blank blind blinded blinding blue board bola bonus book boule bounds bowl bowling brand break
breakdown breaking breakpoint bucket buff buffed buffer burn burned burnt but by calibrate
calibrated calibration call came can cannot carried carry carrydown carrying causal causation cause
ceiling cell cent cg chain champion chances change channel chart check checkpoint cherry
circumference claim claimed class clause cleaned cleaner cleaning close cm coarse code coefficient
cof comes comment common comparison compliance complies compound cond condition conditioner
confidence conform conformance conforming conformity confounded confounder confounding consumer
contact continuation conventional conversion converted copy core corner correction correlated
correlates correlation cost count counting coupon cover coverstock cranker crimson crown current
curve cut cutoff cv cycle daily dark data date datetime datum day days de dec december decision
deck decrease deflect deflected deflection degree delivery delta depression design details
detectable deviation diameter diff difference differential digit digitized digitizing dip dirty
disagree distance distribution dollar dominant dose dot double doubt down draft drift drifted
drifting drilling drive drug dual dull durchschnitt during duro east eastern edge effect effective
else end energy entries entry epoch equipo equivalence equivalent ergebnis error estimate excluded
exclusion exit experimental export extra extraction extrapolate extrapolated extrapolation fail
false feb february fecha fee feet fence feuil figures fill filler film final finding finger
fingertip finish finishing fit fitted flare flared flaring flat flip flippy flush foot footprint
footwork for force forward foul fouled fragile frame freedom fresh freshly fri friction friday from
full gain gained gender gesamt gloss glossy gram grandfather grandfathered granularity graph
gravity grip grit grr guard guess guide gutter gyration hambone handed hander handicap hardness hcp
hdcp head headpin heavy height high highest hit hoja hold hole holz hook hooked hooking hour house
humidity hybrid id idx imbalance impact import in inch inches increase indenter indentor index
inertia info initial inner inserts inspection inspector intermediate interval into invented is item
january jeu joueur judgment juego jugador jul july kg kind kinetic km kommentar kugel label ladies
large lat lateral latitude launch lay laydown layout leaning leans leave leaving length level
leveling likely limit link linked list liters litres lng load locator loft lofted lofting log lon
longitude loser loss lost lot low lowest made magenta make maker mannschaft margin mass match
matched material matte matter maximum mean measure measured measurement measurer measuring media
median medium men messenger messung method microinch microliters micrometer micron mid midlane
midline midnight migrates migration mil milliliters millilitres min minimum minute miss missed
missing mittel mittelwert mixture mm model moment mon monday month monthly motion moyenne mph
multiple name navy negative nesting neu new newtons nominal noon normal northern nose not note
notiz nov november nr observer oct october odd of oil oiling oily once only open operator orange
order ounce out outer outlier over overall overlay overview pad pair paired pairing palace panel
pap paradox part particle partida partie pass passed passes patch path pct peaks pearl per percent
percentage period phase phone picked picket picking piece pilot pin pinfall pink pinsetter
pinspotter pista piste pitch place placebo plan plant plastic plateau platz play played playing
playoff plug plugged pocket point polish polishing polyester population pore porosity pos position
positive post potential pound pounds practice pre precise precision preferred preregistered
preregistration pressure probability producer product profilometer program promedio proportion
protocol psa pseudo pseudoreplication published punkte puntos purple qualifier qualifying quantity
quarter quarterly question quille ra rack radii radius random randomised randomization randomized
rang range rank rate ratio rauheit raw rdg re reaction reactive read reader readme real reason
recomputed red reference refinishing regression release remark remarque removal rep repeat
repeatability repeated repetition replicate replicated replication report reproducibility rerack
resin resolution result resurface resurfaced resurfacing rev reversal reverse revolution rg ringing
risk rk rmcorr rnk roll rolled roller rolling rollout rotation roughness round rounded rounding
roundness row rpm rq rsm rt rubbing rule rulebook rules runde runner rz same sample sanding sat
saturday scale scatter schnitt score scoring scratch scratches scuffing sd se season see seed sem
semaine semana semi semifinal sep september sequence serial serially serie seriennr sess setting
setup seven several sex shape share shared sheet shelf shell shiny shore shot sidespin sight sign
significance significant silver singles size skid skidding skill sleep slide sliding slip slope
slow slug small smallest smooth snap soak soaked solid solvent somme south southern spacing span
spare spec species specification specimen speed spiel spiele spieler spin spinner split sport
spread standard standing start starting stated static statistical statistically std stddev stdev
steepness step stock straight strike strikeouts string strip stripped stripping study stunden style
styli stylus subject subtotal success successes sum suma summary summe surface swing symmetric
symmetrical synthetic systematic tab tabelle tag tage take target teal technical technician tell
temp temperature template tested tester testing text texture that the thin this through throw
throwing thrown thu thumb thumbless thursday tilt time timestamp timing title to today tolerance
too tool topography tot total tournament toward track tracker tracking traffic transition treatment
tree trend trending trial tries trios triples try ttl tue tuesday turkey type typical uhrzeit uin
uncertainty under unsanded unused up urethane use uuid valley value var variability variable
variance variation velocity vendor vent verdict version versus vertical viscosity visit volume
warmup wash washes washout waviness weakest wearing weather wed wednesday weekly weight western
what when wide wild within wk wks woche women won worst written wrong wurf yearly yellow your zeit
zip zone
équipe μin μm ゲーム スコア ボール レーン 分数 合計 合计 名前 姓名
平均 得点 总分 日付 日期 氏名 点数 球速 选手 速度 選手
"""
TRADE = frozenset(_WORDS.split())
