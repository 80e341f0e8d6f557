"""Ordinary words that people are called, too: written in small letters they name nobody.

Common English words, and those of our own sentences, that stand in the lists of names of the
United States Census (1990), without those that are names first of all: norbert.  Written with a
capital they may be somebody (``naming`` has the few that may not); words of the trade stand in
``tradewords``.
"""

from __future__ import annotations

_WORDS = """
abbot abide able ace ache acres admire age agent aid aide alert alias all alliance ally almond
alpha also alter always amber america anchors angel anger angry ape app apple apt arch archer argue
armor armour army artist ash ask ast aura awe awkward axe aye bachelor backbone bacon bad bail bake
baker bald balloon ban banana bang bangs bank banker banner bar barber bare barefoot barge bark
barks barn baron barren barrier bars base bash basil basket bass bath bathe batter battle battles
beach beam beams bean beans bear beard bearded bears beat beaver bee been beer beers bees began
begin begun below belt belts bend bending bent beverage bible bidding big bigger billing birdie
bishop bitter blacksmith blade blaze blazing bleak blend bless blessing blew bliss blizzard blood
bloom blossom blow blunt blush blythe boast bodily body bogus bold bolder bolt bone bones boom boon
boot booth boots border borders bores boring born borne borrow boss bottom bottoms bound bouquet
bourbon bowels bowman boxer brace bracket brain brake branch brandy brass brave braver bravo breach
bread breaker breath breed breeding breeze brew briar brick bride bright brighter brightly
brilliant bring brink brisk broad broker broom brothers brought brow brunette brush buck buckle
bucks bud buddy budge buffalo buggy bull bulls bump bumps bun bunch bunk bunker bunny burden bureau
burger burner bury butcher butter button buys bye cable cables cadet cage cake caller camel camera
camp camps campus canal canary cancel cancer candle candy cane cannon cap cape car carbon card
cardinal care cargo carpenter carrier cart carter carton cash cashing casino cast castle castles
catching cater cave caves cease cellar certain chalk chamber chambers champ champagne chancellor
chant chapel char charity charm charter cheek cheeks cheers cheese cherish chess chew chick chill
chime chimes chin china choice chute cinnamon circle citizen city civil clam clamp clan clap
clarity claw clay clear clerk clever cliche click client cliff clock cloud clover cluster coast
coaster coats coffee coffin coil coin coins coke colder collar college colon colonel colony coma
combs come comfort commander companion condo cone confer congress conquest cons console constable
constant cool cooler cope copier copper coral cord cords cork corn corporal couch cough could
council countess coup courier cousin cousins coven covert coward cowboy cradle craft cram cramp
crane crank crate crater crazier credit creek crest crew crews crimes crisp crook crooked crooks
crow cruel cruise crumble crystal cue cuff cunning curb cure curl curly curry cutter cutting daft
daisy dale dam dame dames dance dancer danger dare daring darling dart dash daughters deacon deal
dear decent decree deed deeds deem deep deer delay demo dense dent deputy desire dessert destiny
devoid dew dial diamond dice dies diesel dine dire ditch dito ditto diver divers divine dock doctor
dodge doing doll dolly dolphin dome don donate done doom door dove dragon drain drake dredge dress
dresser drier dries driver drivers drone drones drought drown drum drummer dryer duck ducking due
duel dues duet duffel duke dunk dust dusty duty dye eager eagle eagles ear earl earthly echo
economy ego elder elders emerald emperor enter era escort eve every expose eye face factor failing
fair fairly fairy fake falcon falconer fallen falling fan fare farm farmer fast faster fat fate
favor favorite favors fear fearing fears feast feather feathers feeling fell fellows felt fend fern
ferry fetch few fickle file files filter finch finder fine finely finer fire fireman fiscal fisher
fisherman fishers fitting fix flair flakes flaming flank flash flatten flatter flavors fleet
fleeting flick flies flight fling flirt flock flood flow fly foil folds folk folks font footer fore
foreman forester forge forget form fort forth fortune foster fought found fountain fowler fraction
freed freeze fret fridge fried friendly frisk fruit fruits fry fudge fuel fuller funk furlong
furnace furry fury fuse fuss gala gall gallant gallery gallon gamble gambler gamer gamma gang
garden gardener garrison gate gates gather gathers gave gear gene general generous genie genre
gentle gentleman getting gift gin ginger given glad glance glass glee glen glimpse glory glover
glow gobble goes going golden gone goo goodness goodnight goodwill goon gore gosling govern grad
grade graft grain grand grant grapes grass grave gravel gravely graves greenhouse greet grew grief
grieve grill grim groom gross ground grounds grow guardian guise guitar gum gun gunning gut hack
hacker hacking had hail hair hale halo halt ham hamburger hammer handing handler handsome handy
hang harbor harden harder hare harm harmony harness harp harry harsh harvest has hash haste hasty
hatch hatchet hatter haven haw hawk hay hazard hazel heading headings heal heap heard hearing heart
heater heather hedge hefty heir heist held helm hence her herb herd here heritage hero heron
herring hey hidden hides him hind hint hire hires his hitch hobby hockey hoist holder holding
holiday holler hollow holly holy honey honor hood hoof hoop hooper hoops hopping horn horns horse
hose host hotter housekeeper hover how huddle huge hull hum human humble hung hunger hunt hunting
hurl hurry hurt husband husbands hush ice idol ill imperial ink inks innocent ion iris iron island
isle isles its ivory ivy jack jacks jasmine jean jeans jersey jewel jewels job jobs joiner jolly
journey judge jumbo jump jumper junk jury justice karma keen keep kettle key keys kick kicker kicks
kidney kill killer killings kin kinder kindred kingdom kiss kitchen kite kitten knack knee knife
knock knows knuckles labor lace lack lacks lacrosse lair lamb lame lamp lance land landing lands
larger lark laser lash lass latch late later laughter laundry laurel lava lavender lawn lawyer lax
layer leader leaf leak leaks lean leap learn learned lease leash leather led ledger legacy legions
leisure lemon lent leopard lesser letters lever liberty lie lied lies life lighter lightning like
likes lily limb lime linear linen linger linker lion lions lips listen liter litter lively living
loader loan lobe lock locker locket locks lodge lofty lone longest longley look loop loose loosen
lord lords lose loud louder lovely lover loving loyal luck lucky lunch lung macho mad magic maid
maiden mail mailman main mainland maize majestic males mall mango manly manner manners manning
manor mantle many maple mar marble mare marine marines marker market marking marrow marry mars
marshal martian martyr marvel mascot mash mask master masters mate mates math mayor maze meadow
meals mechanic medal medicine mega mellow melody memo memory mend mends mention merchant mercury
mercy merry mess messing metro mica mighty mill million mince miners mingle mini minister mink
minor minus miracle mister misty mix moan moat mock mode modest mole monarch money monk monks mood
moody moor moose morale moss motto mound mount mountain mourning mouse mow much muck mule music
must mustache mustard muster mutton myrtle nab nail nails nanny nap narrow nation nations naval
nave near nearing neat necessary needle needles needs needy neighbor neighbors neighbours nephew
ness nest net never newborn newcomer newer nice nicely nick nickel nickels niece nightingale nip
noble nobles notch notice noun novel nurse oak obey ocean odor offer officer often older olive
orchard ord ore organ our ours outlaw oven ovens overly oyster pace pack packer pagan pain painter
pal pale palm palms pals pan pancake panda papa paradise parcel pardon parent parents parish parrot
parson partridge party pastor pat patience patron pay payment pea peace peach peaches peacock pear
peasant peck peek peel peeling peer peers peg pen pencil pepper peppers perfect perish perks petty
piano pick pickle pickles pickup pier pierce pies pigeon pike pile piles pill pillar pillow pinch
pine ping pipe pipes pitcher pizza plane plank plaster plate pleasant pleasure plenty plover pluck
plum plumb plumber pod poe poet pointer poke pole poles police polite poll pollen polo pond poor
pop poppy porch port portal porter ports postal poster potter pouch pour prairie pray prayer
precious president press presume pretty prey pride priest prime princess prior profit prom promise
proper prophet prose proud province prudent pry public puff pulling pulse pump pun punch punches
purchase push quarry queen query quest quiet quill race radar raid rail rain rainbow rains rake ram
ramp ran ranch ranger ransom rash raspberry rather rave raven razor reach ready reap rebel record
records redhead redo reef reek reeks reel register rein reins relic render resides reveal rhyme
rhymes rice richer rick riddle rider rides ridge riding rim ringer rink ripple risen rising rival
roam rob robe robes rock rocks rocky rod rode rogue roles romance roof root roots roper ropes
rosemary rosy roulette route royal royalty ruby ruddy rude rue ruff rumble rung running ruse rush
rushing rust rusty rye sack sacks saddler safe safer said sailor sailors sails saint sake sale
sales sally salmon salon salsa salt salvage sandy sane sang sauce saucer savage save sawyer say
scarce scarlet school schools scrape screen screws sea seal seals search seat seats section sedge
seek seen self sell seller sells senate sensing sergeant sermon serum servant serve server service
setter settle settles sever severance severe sewer shack shade shadow shady shake shall shallow
shark shave she shear shed sheen sheer shelter shepherd sheriff sherry shield shields shillings
shin shine shines ship shirts shiver shock shoe shone shook shorten shorter should shoulder
shoulders shouts shove show showers shown shows shutter shutters shy sick silence silk sill simple
simpler sin sing singer single sings sink sinks sinner sins siren sit situ skates skinner skipper
slack slain slate slater slaughter slay sleeper sleigh slice slick slight slim slipper slot sly
smack smaller smart smiles smiling smithy smoke snare sniff sober socks soda solar sole solo son
song sonny sons soon sorrow sour sovereign sow space sparkle sparrow speak speaker speaks spear
spears speck speedy spell spells spice spies spike spikes spine splinter spoon spotted spray
sprinkle sprout sprung square stable stack stacks staff stage stain stains stair stairs stake
stakes stalker stall stalling stallion stamp stamps staple stare stark starling starring starry
stash state states stay stayer steady steep steer stem sterling stern steward stick sticker stiff
still stills stitch stocking stole stoop stops storage store stores stormy story stout stove stow
strain strand strange stranger straw strawberry stray stream streams strength stretch stride strife
stroker stroll struck stuck stump sturdy such sue sugar suing suit suite suits summons sun sung
sunny sunshine super surgeon surprise swab swallow swallows swam swamp swan swarm sweat sweep sweet
sweeten sweets swell swim swims sword swords tack tad tail tailor taker talent talk tall tally tan
tango tank tanker tanks tape taps tart tea teach tear tease tee tees teller tenant tennis tent
tequila terrace terrible than thatcher them then there these they thorn thorns those thrash threat
threats thrill throne tick tickle tiger till timber tin ting tiny tipping tobacco toll tomb tombs
ton tone tones tongue tonic torn touch tout tow towels tower towers town towns toy trace trader
trail train trainer tram tramp treasure treat tremble trench tribe trick trim troll troop troupe
trout trucks true truly trump trumps trunk trusty tuck tune tuning turner turtle tutor tweet twist
tyre unavailable union uphold upright urban usher utter vane vanish veal veil vein velvet venture
verge very vessel vessels vest via vial vice victory view vigilante villa vine vinegar vines violet
virtue vital voice vote vowels wade waffle wage wager wages wagon wait waiters waits wake walker
walkers walking wallet waltz wand wander wanders want war warden ware warm warn warning warns warp
warrior wary was washing watchman waterfall watts wave wax weary weasel weaver weaving wedding
wedge wee weed welcome well went were whack wheat wheeler which while whistle who wholly whom whose
why wicks widen wider wig willing willow wilt win windy wine wines wing wings wink winning wins
wire wires wisdom wise wiser wish witty wolf wonder wonders wooden wool word work works world
worlds worm worthy would wren wrench wright wrinkles writer yang yard yell you younger
"""
ORDINARY = frozenset(_WORDS.split())
