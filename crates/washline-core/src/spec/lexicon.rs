//! The words of the trade: what a run of words can be in a spec, looked up longest first.
//!
//! One table for the words of work, glasses, ice, garnish and serving; the names of ingredients come from the
//! reference library, and over it from what the house and the book call their own.

use std::borrow::Cow;
use std::collections::HashMap;
use std::sync::{Arc, LazyLock};

use super::Technique;
use crate::ingredient::{Found, Ingredient, Stock, library};
use crate::measure::{UNITS, Unit};
use crate::names::key;
use crate::tables::IngredientKind;

/// What a run of words can be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Tag {
    /// A way of working the drink: shake, stir, muddle.
    Work(Technique),
    /// How work is done: hard, gently, again.
    Manner,
    /// Strained off its ice.
    Strain {
        /// Through a fine sieve as well.
        fine: bool,
    },
    /// Into the glass with its ice and solids.
    Unstrained,
    /// Served without ice, from the bottle.
    Neat,
    /// Served without ice, after working.
    Up,
    /// Left to stand.
    Rest,
    /// A word that heads a part of a spec: `Ingredients`, `Method`.
    Header,
    /// A glass to drink from.
    Glass,
    /// What a glass is like: chilled, large.
    GlassLike,
    /// Ice, by any of its names.
    Ice,
    /// What ice is like: crushed, big.
    IceLike,
    /// A thing to work in: tin, shaker, jug.
    Vessel,
    /// To garnish: `garnish with`, `express`.
    GarnishVerb,
    /// What is put on a drink and not in it: twist, wheel.
    GarnishNoun,
    /// `no garnish`.
    NoGarnish,
    /// On top, to lengthen.
    Top,
    /// As much as fills the glass: `to fill`, `to top`.
    ToFill,
    /// On the surface.
    Float,
    /// Round the glass.
    Rinse,
    /// Sprayed.
    Mist,
    /// Where a pour goes that is put on at the end: `on top`, `over the foam`.
    OnTop,
    /// Joins two readings: and, then.
    Joint,
    /// Joins work to what is worked with.
    With,
    /// in, into, on, over.
    Preposition,
    /// a, the, your.
    Article,
    /// Everything that was poured: all, the rest, ingredients.
    All,
    /// serve, pour.
    Serve,
    /// each.
    Each,
    /// What is made ahead for several drinks: `pre-batch`.
    Batch,
    /// What is done for one drink: `per serve`.
    PerServe,
    /// A unit.
    Unit(Unit),
    /// Says of a name how it is bought or kept: fresh, chilled.
    Quality,
    /// Says of a name what was done to it: infused, washed.
    Treatment,
    /// Beside an amount: scant, about.
    About,
    /// How a ratio is counted: by mass.
    By,
    /// A word to the reader that changes nothing: optional, straw.
    Aside,
    /// A word that begins a clause for the reader: that, because, I.
    Clause,
    /// Takes back what was said before it: no wait, make that.
    Correction,
    /// Served hot, or made so.
    Hot,
    /// What a house makes itself, as the last word of a name: syrup, cordial.
    Made,
}

/// What sort of thing a known name is, as far as reading asks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sort {
    /// A liquid that is poured by a measure.
    Liquid,
    /// A fruit, herb or spice that is put in by the piece or on the glass.
    Solid,
}

/// What a run of words can be, all of it.
#[derive(Clone, Debug, Default)]
pub(super) struct Entry {
    tags: Vec<Tag>,
    /// The name of an ingredient or of a kind of them.
    pub name: Option<Sort>,
}

impl Entry {
    /// What `pick` makes of the first tag it takes.
    pub fn pick<T>(&self, pick: impl Fn(Tag) -> Option<T>) -> Option<T> {
        self.tags.iter().find_map(|t| pick(*t))
    }

    /// Whether it has a tag.
    pub fn is(&self, tag: Tag) -> bool {
        self.tags.contains(&tag)
    }
}

/// The table: a tag and the runs of words that have it.
const WORDS: &[(Tag, &str)] = {
    use Tag as T;
    use Technique as W;
    &[
        (
            T::Work(W::Muddle),
            "muddle|muddled|muddling|press|press gently|gently press|bruise|slap",
        ),
        (
            T::Work(W::DryShake),
            "dry shake|dryshake|dryshaken|shake dry|dry shaken|shaken dry|shake without ice|shake no ice|mime shake|mimic shake",
        ),
        (T::Work(W::WhipShake), "whip shake|whip shaken|whip"),
        (
            T::Work(W::Shake),
            "shake|shaken|shakes|shaking|shake up|wet shake|wet shaken|shk|ws",
        ),
        (T::Work(W::Stir), "stir|stirred|stirs|stirring"),
        (
            T::Work(W::Build),
            "build|built|building|direct in|build in|build over|layer|layered|assemble",
        ),
        (T::Work(W::Roll), "roll|rolled|rolling|tumble"),
        (T::Work(W::Throw), "throw|thrown|throwing"),
        (T::Work(W::Swizzle), "swizzle|swizzled|churn|churned|churning"),
        (
            T::Work(W::Blend),
            "fb|flash blend|flash blended|drink mixer|blend|blended|blending|blender|whizz|whizzed|blitz|blitzed|spindle mix|mix in a blender",
        ),
        (
            T::Manner,
            "hard|reverse|flash|good|hard and fast|gently|well|long|briefly|quickly|quick|lightly|vigorously|again|once|twice|hard again|until cold|until chilled|until frothy|until smooth|till smooth|till cold|till frothy|till chilled|to chill|to combine|to mix|to dissolve|to incorporate|to emulsify|like crazy|really hard|very hard|very well|brisk|briskly|slowly|short|shortly|together|thoroughly|until dissolved|till dissolved|properly|first|last|carefully|smooth|until the glass frosts|till the glass frosts|until frosted|until well chilled|to dilute|to lift|to integrate|in that order|in order|by degrees|a little at a time|little by little|gradually|for a moment|for a few seconds|a few seconds|few seconds|in glass|in the glass|in a glass|in the tin|to emulsify|times|over|until it is cold|as cold as possible|a lot|lots|down|slow|fast|so it is cold|to wake it up|to aerate|to froth|no ice|without ice|very strong|strong|strongly|very",
        ),
        (
            T::Strain { fine: true },
            "fine str|double str|dbl str|fine strain|double strain|fine double strain|strain fine|double strained|fine strained|finestrain|doublestrain|strain twice|dbl strain|d strain|ds|fs",
        ),
        (
            T::Strain { fine: false },
            "strain|single strain|strained|straining|hawthorne strain|open strain|strain off|sieve|filter through coffee paper|filter through a coffee filter|filter",
        ),
        (
            T::Unstrained,
            "unstrained|dump|dirty dump|pour unstrained|open pour|dump it all|dump all|dump everything|dump in|pour everything|no strain|do not strain|dont strain",
        ),
        (T::Neat, "neat|no ice in the glass"),
        (T::Up, "up|serve up|served up|straight up|serve straight up"),
        (T::Rest, "rest|let rest|leave to rest|let stand"),
        (
            T::Header,
            "on site|onsite|on the day|on the night|day of|night before|the night before|morning of|garnish and glass|base|modifier|modifiers|juice|spirit|spirits|lengthener|mixer|mixers|build|liquids|solids|glass and ice|process|build steps|components|you will need|what you need|needed|service|recipe card|drink spec|per drink|measures|measurements|quantity|qty|amount|amounts|ingred|ingreds|meth|ingredients|ingredient|method|directions|direction|instructions|preparation|steps|build order|for the drink|spec|specs|recipe|procedure|how to|serve in|glassware|drink|the drink|serving|to serve|to make|assembly|mise|pour|prep|notes on method|execution|technique|portion|serve|serving",
        ),
        (
            T::Glass,
            "sling glass|nick an nora|nick an nora glass|nic and nora|nic & nora|nick and norah|coop|coop glass|schooner|middy|pot glass|sundae glass|old fash glass|old fash|longdrink glass|longdrink|long drink glass|sherry copita|wine goblet|stemless wine glass|shot glasses|glass|coupette|cup|cups|mug|mugs|small coupe|punch cup|punch cups|punch glass|copper cup|nick and nora|nick & nora|n&n|n & n|nick n nora|nick nora|nick and nora glass|martini|cocktail glass|rocks|dof|d o f|old fashioned|old fashioned glass|tumbler|highball|hi ball|hiball|collins|flute|champagne flute|wine glass|wineglass|big wine glass|goblet|copa|balloon|hurricane|julep cup|julep tin|julep|pilsner|footed pilsner|sling|sour glass|shot glass|shot|toddy glass|toddy mug|tiki mug|tiki|tall glass|short glass|pint glass|beer glass|tankard|snifter|brandy glass|liqueur glass|cordial glass|port glass|sherry glass|copita|whisky glass|whiskey glass|double rocks|large rocks|single rocks|lowball|teacup|tea cup|coffee cup|coffee glass|latte glass|irish coffee glass|irish coffee|poco grande|poco|bowl|punch bowl|sharing bowl|half coconut|coconut shell|pineapple shell|tin cup|mule mug|copper mug|jam jar|jar|mason jar|delmonico|fizz glass|bar glass|large bar glass|small bar glass|whiskey glass|champagne glass|claret glass|star champagne glass|hot water glass|lemonade glass|glass mug|heatproof glass|heatproof mug|stemmed glass|stem|stemware|tulip|white wine glass|red wine glass|water glass|juice glass|water tumbler|beer mug|stein|shell glass|shell|whiskey glass|ale glass|pony glass|pousse cafe glass|sour glass|punch glass|pitcher|julep mug|mint julep mug|hot whiskey glass|toddy mug|high ball glass|high ball|cocktail|saucer|champagne saucer|absinthe glass|rocks glass|highball glass|collins glass|coupe glass|coupes|coupe|v glass|burgundy glass|bordeaux glass|spritz glass|gin glass|medium tumbler|old fashion|old fashion glass|coup|coup glass|pony glass|n and n|n n|dbl rocks|dbl old fashioned|rox glass|pint pot|tall highball|milkshake glass|parfait glass|sherbet glass|sour mug|toddy cup",
        ),
        (
            T::GlassLike,
            "medium|medium size|medium sized|thin|nearly|inverted|fancy stemmed|plastic|paper|disposable|acrylic|enamel|ceramic|clay|bronze|bamboo|antique|etched|crystal|chilled|frozen|cold|freezer|prechilled|pre chilled|pre warmed|prewarmed|pre heated|preheated|heated|warmed|warm|large|big|small|tall|short|footed|stemmed|heatproof|ice filled|ice cold|frosted|empty|clean|nice|fancy|your favourite|double|single|mini|little|wide|straight sided|iced|communal|thin|heavy|deep|vintage|glace|rimmed|salted|salt rimmed|sugar rimmed|half rimmed|12 oz|rinsed|same|cut|silver|hot|chiled|skinny|handled",
        ),
        (
            T::Ice,
            "ice|cubed ice|ice cubes|ice cube|crushed ice|cracked ice|pebble ice|shaved ice|nugget ice|block ice|block of ice|big cube|large cube|large ice cube|big ice cube|big ice|large ice|big rock|large rock|one rock|rock|one large cube|one big cube|cube|cubes|clear ice|clear cube|clear ice block|ice block|ice spear|spear|ice sphere|sphere|ice ball|king cube|lump ice|fine ice|chunk of ice|lump of ice|lumps of ice|hand cut ice|dry cubes|rocks ice|snow ice|ice chunk|ice chunks|ice shard|ice shards|collins spear|plenty of ice|lots of ice|full of ice|full with ice|filled with ice|broken ice|a few cubes|few cubes|cube ice|regular ice|cubed|crushed",
        ),
        (
            T::IceLike,
            "crystal|small pieces of|small piece of|pieces of|piece of|lumps of|lump of|many|much|lot of|load of|loads of|heap of|scoop of|scoops of|a little|very cold|enough|handful of|medium|small|mixed|crushed|cracked|pebble|shaved|big|large|block|clear|cubed|fresh|new|hard|cold|one|single|freezer|wet|dry|dense|lump|fine|good|plenty of|lots of|full of|more|little|some|solid|hand cut|square|long|whole|clean|nugget|packed",
        ),
        (
            T::Vessel,
            "jerrycan|jerrycans|jerry can|jerry cans|drum|bucket|swing top|swing tops|flip top|flip tops|carboy|demijohn|tank|siphon|soda siphon|soda gun|gun|coffee filter|paper filter|coffee paper|cheesecloth|cheese cloth|muslin|muslin cloth|chinois|superbag|super bag|nut milk bag|sieve|fine sieve|tea strainer|strainer|whipper|thermos|urn|slow cooker|kettle|microwave|keg|tub|bag|vacuum bag|airpot|dispenser|mould|mold|funnel|tin|the tin|shaker|shaker tin|tins|mixing glass|mixing tin|mixing jug|mixing beaker|large mixing glass|blender|blender jar|jug|pitcher|beaker|pan|saucepan|pot|carafe|bottle|container|decanter|bar spoon|swizzle stick|barspoon|blender cup|base of the shaker|base of a shaker|jar",
        ),
        (
            T::GarnishVerb,
            "decoration|decor|deco|garn|garnishing|garnish of|finished w|dec|garnishment|garnish is|garnish are|garnish will be|the garnish is|for the garnish|garnish|garnished|garnishes|garnish with|garnished with|to garnish|for garnish|express|flame|grate|grated|rim|half rim|dust|dusted|decorate|dress|ornament|crown with|sprinkle|dressed with|decorate with|microplane|rub|spank|drop in|hang|spritz lemon oil|spray lemon oil|twist of|squeeze of|trim|float a|ornament with|dress with|dress|fancifully dress|decorate the top of it",
        ),
        (
            T::GarnishNoun,
            "skin|skins|grain|grains|peppercorn|peppercorns|berry|berries|doily|pastille|segment|segments|cube of fruit|floret|bouquet garni|baton|matchstick|julienne|chunk|chunks|gummy|lollipop|pinwheel|twist|twists|peel|peels|zest|zests|wheel|wheels|half wheel|half moon|wedge|wedges|slice|slices|fan|ribbon|ribbons|oil|oils|sprig|sprigs|bouquet|stick|sticks|cherry|cherries|olive|olives|cocktail onion|pickled onion|onion|onions|nutmeg|flag|horses neck|crown|flower|flowers|blossom|orchid|orchids|frond|fronds|shell|dust|powder|shavings|shaving|grating|gratings|rim|salt rim|sugar rim|salted rim|sugared rim|half salt rim|spear|skewer|pick|umbrella|feather|feathers|petal|petals|crisp|chip|leaf|leaves|garnish|bean|beans|pod|star|wafer|biscuit|marshmallow|marshmallows|tuile|meringue|honeycomb|candied ginger|crystallised ginger|chocolate shavings|grated nutmeg|fresh nutmeg|grated chocolate|coin|coins|disc|disk|spiral|knot|thread|strip|strips|curl|curls|discard|discarded|swath|cheek|quarter|tip|top leaf|head|plume|microherbs|cress|bitters mist|rind|brandied cherry|cocktail cherry|dehydrated|dried|dehydrated lime|dehydrated lemon|dehydrated orange|zested|expressed",
        ),
        (
            T::NoGarnish,
            "no garnish|no garnish needed|without garnish|garnish none|garnish no|nothing on top|ungarnished",
        ),
        (
            T::Top,
            "fill up the balance with|fill the balance with|fill up balance|fill the balance|fill the rest with|complete with|completed with|complete|top|topped|top up|top off|topped up|topped off|top with|topped with|top up with|top off with|top it with|top it up with|top w|top w/|topped w|topped w/|top up w/|lengthen|lengthen with|lengthened with|fill with|fill up with|fill w|fill w/|filled with|fill|fill up|fill glass with|fill the glass with|finish with|finished with|charge with|charged with|crown with|top the glass with|top all with|top each with|topping with|then top|lengthen w/|cap with|capped with",
        ),
        (
            T::ToFill,
            "full up|fill up|to full|enough to fill|q.b|qb|until the top|until top|till the top|until full|till full|to the brim|until the rim|to the rim|up to the top|till the brim|as needed|to cover|to the line|to line|to top|to top up|to fill|to lengthen|to finish|to taste top|for topping|on top to fill|as needed to top|top|topped|top up|to the top|as a top|for the top|to charge|to top off|for top",
        ),
        (
            T::Float,
            "float|cover the top with|cover the top lightly with|cover top with|cover the surface with|floated|floats|float of|float with|float on top|floated on top|a float of|float on|as a float|floating|sink|drizzle|drizzle with|laced with|lace with|drizzle over",
        ),
        (
            T::Rinse,
            "rinse|rinsed|rinse the glass with|rinse glass with|rinse with|rinsed with|rinse of|rinsed w|rinsed w/|rinse w/|rinse w|rinse the coupe with|rinse coupe with|glass rinsed with|coat the glass with|coat glass with|wash the glass with|season the glass with|swirl|rinse a|rinse the|seasoned with",
        ),
        (
            T::Mist,
            "mist|misted|mist of|mist with|spray|spray of|sprayed|spray with|spritz|spritz of|spritz with|spritzed|atomise|atomize|atomised|atomizer|atomiser|sprays of|sprays|mist over|spray over",
        ),
        (
            T::OnTop,
            "on top|over the top|on the top|over top|on the foam|on foam|on the surface|onto the foam|on the head|over the foam|over the ice|over the drink|on the drink|on top of the foam|into the foam|at the end|on the crown|grated over|shaved over|dusted over|on the cube|on the cream",
        ),
        (
            T::Joint,
            "and|then|and then|plus|n|next|finally|after that|before|also|followed by|before that|afterwards|after|&",
        ),
        (T::With, "with|w/|w|using|along with|together with"),
        (
            T::Preposition,
            "til|in|into|in to|on|onto|over|to|from|of|off|at|for|through|until|till|by|per|out of|inside|around|round|without|w/o|via|as|up to|about|between|against|down",
        ),
        (
            T::Article,
            "a|an|the|some|your|its|it|this|that|them|one|my|our|their",
        ),
        (
            T::All,
            "add rest|add the rest|make sure|part of the|some of the|rest of the|most of the|a part of the|a little of the|all|everything|all ingredients|all the ingredients|ingredients|the rest|rest of the ingredients|other ingredients|remaining ingredients|remaining|other|others|mix|mixture|the mix|liquid|liquids|all but|except|all of it|all of them|the whole lot|first two|first three|first four|first five|last|other stuff|drink|the drink|contents|add all|combine|combine all|add|pour|pour in|mix all|mix together|mix well|put|place|measure|measure out|throw in|chuck in|take|use|start with|begin with|add in|bring together|squeeze|squeeze in|pull|extract|brew|bar the|but the|save the|minus the|tip|tip in|drop|dissolve|pour all|pour over|pour into|pour it|pre warm|prewarm|pre chill|pre heat|preheat|warm the|heat the|chill the|swirl and discard|discard excess|discard|dump excess|whole thing",
        ),
        (
            T::Serve,
            "fire|portion|portion out|portioned|dole out|serve|served|serving|present|pour|pour into|pour over|serve in|served in|serve over|served over|serve on|serve with|ladle|decant|transfer|transfer to|send|drink|enjoy|garnish and serve|send it|serve immediately|serve at once|serve cold|serve hot|to the guest|and serve",
        ),
        (
            T::Batch,
            "base|base mix|pre batch|prebatch|batch|the batch|batch mix|pre mix|premix|batched mix|the pre batch|batched base",
        ),
        (
            T::PerServe,
            "per serve|per drink|per glass|to order|for each drink|for one drink|each serve|for each serve|a la minute|at service|to serve one|per portion",
        ),
        (T::Each, "each|ea|each of|of each|apiece"),
        (
            T::Quality,
            "dissolved|very hot|piping hot|boiling hot|steaming hot|scalding hot|steamed|frothed|boiled|cooled down|new laid|newlaid|new-laid|beaten up|well beaten|stuck with cloves|studded with cloves|clove studded|spiked with cloves|full fat|low fat|skimmed|semi skimmed|hot just made|very strong|strongly brewed|lightly whipped|semi whipped|whipped|shaken|opened|unopened|new|bought|shop bought|store bought|supermarket|bar|speed rail|rail|cold from the fridge|room temp|ambient|still|sparkly|lightly|squeezed in|dropped in|broken in|broken in whole|broken|twisted|preserved|imported|discarded|in shell|on the side|level|big|good pinch|deveined|fresh|freshly|freshly squeezed|fresh squeezed|freshly pressed|fresh pressed|squeezed|pressed|chilled|cold|ice cold|hot|warm|warmed|heated|boiling|raw|good|quality|good quality|best|premium|plain|pure|strong|large|big|small|ripe|medium|whole|sliced|chopped|diced|peeled|cut|torn|crushed|ground|freshly ground|strained|unstrained|juiced|sieved|filtered|homemade|home made|house|house made|housemade|in house|own|organic|free range|pasteurised|pasteurized|local|bottled|canned|tinned|frozen|room temperature|room temp|from the freezer|from the fridge|freezer|fridge|optional|extra|any|some|single|softened|melted|unsalted|salted|seedless|deseeded|sweetened|unsweetened|from freezer|from fridge|ex cold|ex fridge|ex freezer|straight from the freezer|leftover|clear|cloudy|standard|regular|normal|nice|decent|cheap|well|call|favourite|preferred|real|proper|thick|thin|quarter|quartered|halved|about|heaped|level|de stemmed|picked|washed and dried|n/a|lightly beaten|beaten|separated|ice|fine|finely|finely chopped|finely sliced|thinly sliced|freshly brewed|brewed|just made|cooled|double|free poured|bruised|slapped|fizzy|flat|very cold|very|super|stemmed|handful|scant|spent|english|french|italian|spanish|mexican|japanese|american|scottish|irish|cuban|barbados|barbadian|local|style",
        ),
        (
            T::Treatment,
            "infused|infusion|washed|fat washed|butter washed|brown butter washed|milk washed|oil washed|rested|aged|barrel aged|barrel rested|cask aged|smoked|roasted|toasted|charred|grilled|fermented|pickled|clarified|acid adjusted|acidified|adjusted|carbonated|spiced|flavoured|flavored|steeped|soaked|macerated|redistilled|distilled|stretched|corrected|fortified|seasoned|caramelised|caramelized|burnt|browned|cured|dried|salted|candied|dehydrated|compressed|sous vide|spent|cordial|reduced|sweetened|fatwashed|milkwashed|batched|switched|blended|house infused|cold infused|cold brewed|washed with|infused with|adjusted to|milk punched|cacao nib infused",
        ),
        (
            T::About,
            "env|environ|etwa|ungefahr|abt|bout|thin|thick|ish|scant|fat|heavy|generous|short|heaping|heaped|level|rounded|bare|whole|full|entire|about|approx|approximately|ca|circa|roughly|around|nearly|almost|just under|just over|up to|a good|good|a scant|a heavy|a generous|a heaped|a heaping|tiny|a tiny|small|a small|big|a big|large|a large|slightly|light|a light|loose|an even|max|min|maybe",
        ),
        (
            T::By,
            "by mass|by weight|by volume|by vol|by wt|w w|v v|w/w|v/v|w/v|m/m|m/v",
        ),
        (
            T::Aside,
            "fiche technique|tech sheet|std|std drinks|standard drinks|gp|margin|whisk|whisk in|whisk together|whisked|fold|fold in|heat|simmer|steam|froth|carbonate|keg|label|date|funnel|freeze|chill|refrigerate|weigh|weigh out|scale|dilute|light it|ignite|torch|dip|lay|load|open|crack|break|separate|set aside|set alight|ratio|total|balance|vac seal|stick blend|non alc|non alcoholic|alcohol free|zero proof|zero abv|no abv|low abv|digestif|aperitif|mocktail|punch|party punch|milk punch|clarified milk punch|spec sheet|sheet|station|staff|menu|lunch|brunch|winter|summer|spring|autumn|new|final|allergen|allergens|contains|vegan|vegetarian|raw egg|safety|note|notes|nb|abv|strong ish|party|virgin|price|cost|sells|item code|code|page|drink of the week|sour|tall|short|stirred down|shaken drink|up drink|long drink|optional|straw|straws|same as always|same as before|as always|as before|standing in it|with the spoon standing in it|always|only|just|simply|securely|frequently|alongside|overnight|beforehand|fifty fifty|fifty-fifty|production|production batch|prod batch|prep batch|production sheet|keg fill|batch sheet|long straw|long straws|short straw|short straws|no straw|paper straw|metal straw|straw hole|ask|discard|do not|napkin|coaster|side|on the side|on side|on a pick|pick|spoon|no booze|family style|mother batch|tbc|tbd|test|v2|v3|recipe|signature|house|special|served with|serve with straw|keep the shell|keep shell",
        ),
        (
            T::Correction,
            "no|go|no wait|wait no|wait|no no|make that|make it|no make that|no make it|actually|no actually|sorry|no sorry|sorry no|scratch that|strike that|correction|i mean|i meant|no i mean|or rather|rather|nope|call it|no go|no go with|go with|so lets say|lets say|so let's say|let's say|so say|i'd go|id go|i would go|i'd say|id say|better make it|bring it down to|down to",
        ),
        (
            T::Made,
            "syrup|concentrate|cordial|shrub|foam|espuma|air|oleo|oleo saccharum|mix|batter|infusion|tincture|brine|solution|saline|sherbet|falernum|orgeat|grenadine|puree|cream|butter|water|milk|stock|super juice|honey|bitters|sour|sour mix|base|batch|tea|juice|dust|salt|sugar|rim",
        ),
        (
            T::Hot,
            "serve hot|served hot|hot serve|served warm|serve warm|serve piping hot|heat to|heat gently|heat it|heat through|heat all|heat everything|warm through|warm gently|warm everything|heat until hot|heat but do not boil",
        ),
        (
            T::Clause,
            "kind regards|best regards|warm regards|regards|all the best|best wishes|many thanks|i'd had|id had|we'd had|wed had|used to have|used to use|yesterday|offer|upsell|available with|available|previously|originally|formerly|last time|last night|last week|used to be|practise|practice|taste it|sub|sub in|next time|consider|bump|swap|replace|weve|youve|ive|id|right|obviously|obvs|mate|guess|yep|yeah|alright|nah|lol|tbh|proper|whos|thats|theyre|wont|cant|shouldnt|ask|easy one|just a|just so|in case|in case of|alternative|substitute|that|which|who|whose|because|cos|since|so|but|if|when|while|i|ive|im|ill|we|you|he|she|they|is|are|was|were|will|should|can|could|would|do|dont|does|not|never|its|it|heres|here|here is|there|theres|these|those|this|um|uh|er|erm|ok|okay|yeah|yes|actually|basically|gonna|wanna|want|need|have|has|had|remember|please|pls|thanks|thank|hi|hey|hello|dear|cheers|aka|also known as|otherwise|unless|instead|comes|came|goes|makes|gives|keeps|tastes|looks|smells|inspired|named|created|invented|developed|contains|allergen|allergens|allergy|why|how|what|where|let|lets|history|story|tried|we tried|i tried|could do with|try|best with|think|thinks|my|mine|our|ours|inspired by|named after|be careful|careful|watch|warning|safety|caution|mind|mods|shelf life|holds|lasts|good for|use within|discard after|nb|note|notes|ps",
        ),
    ]
};

/// Ordinary shortenings and other ways to spell a word, with the word.
const SHORT: &[(&str, &str)] = &[
    ("verm", "vermouth"),
    ("liquer", "liqueur"),
    ("liqeur", "liqueur"),
    ("liq", "liqueur"),
    ("liquor", "liqueur"),
    ("champers", "champagne"),
    ("eggwhite", "egg white"),
    ("eggwhites", "egg white"),
    ("eggwht", "egg white"),
    ("wht", "white"),
    ("crm", "cream"),
    ("bbn", "bourbon"),
    ("gren", "grenadine"),
    ("oj", "orange juice"),
    ("gfj", "grapefruit juice"),
    ("pj", "pineapple juice"),
    ("choc", "chocolate"),
    ("cuke", "cucumber"),
    ("passionfruit", "passion fruit"),
    ("blackcurrants", "blackcurrant"),
    ("gingerbeer", "ginger beer"),
    ("gingerale", "ginger ale"),
    ("sodawater", "soda water"),
    ("tonicwater", "tonic water"),
    ("limejuice", "lime juice"),
    ("lemonjuice", "lemon juice"),
    ("orangejuice", "orange juice"),
    ("simplesyrup", "simple syrup"),
    ("demi", "demerara"),
    ("dem", "demerara"),
    ("bitts", "bitters"),
    ("worcester", "worcestershire"),
    ("tabs", "tablespoon"),
    ("cran", "cranberry juice"),
    ("grapefuit", "grapefruit"),
    ("jc", "juice"),
    ("sol", "solution"),
    ("sol'n", "solution"),
    ("soln", "solution"),
    ("syr", "syrup"),
    ("strawb", "strawberry"),
    ("pineap", "pineapple"),
    ("lem", "lemon"),
    ("cuc", "cucumber"),
    ("cucs", "cucumber"),
    ("arom", "aromatic"),
    ("rasp", "raspberry"),
    ("rasps", "raspberry"),
    ("raspb", "raspberry"),
    ("blackb", "blackberry"),
    ("blueb", "blueberry"),
    ("grapef", "grapefruit"),
    ("gfruit", "grapefruit"),
    ("gf", "grapefruit"),
    ("elderf", "elderflower"),
    ("elderfl", "elderflower"),
    ("cinn", "cinnamon"),
    ("vanil", "vanilla"),
    ("marasch", "maraschino"),
    ("marash", "maraschino"),
    ("curac", "curaçao"),
    ("bourb", "bourbon"),
    ("teq", "tequila"),
    ("mez", "mezcal"),
    ("mezc", "mezcal"),
    ("prosec", "prosecco"),
    ("champ", "champagne"),
    ("bubbly", "sparkling wine"),
    ("bubbles", "sparkling wine"),
    ("bubble", "sparkling wine"),
    ("sug", "sugar"),
    ("passion", "passion fruit"),
    ("pssnfrt", "passion fruit"),
    ("rosem", "rosemary"),
    ("nutm", "nutmeg"),
    ("cardam", "cardamom"),
    ("bitt", "bitters"),
    ("btrs", "bitters"),
    ("bttrs", "bitters"),
    ("bitrs", "bitters"),
    ("conc", "concentrate"),
    ("evap", "evaporated"),
    ("amarett", "amaretto"),
    ("absinth", "absinthe"),
    ("absint", "absinthe"),
    ("orng", "orange"),
    ("orgt", "orgeat"),
    ("apric", "apricot"),
    ("pepp", "pepper"),
    ("whsky", "whisky"),
    ("wsky", "whisky"),
    ("swt", "sweet"),
    ("overpr", "overproof"),
    ("sirup", "syrup"),
    ("sirop", "syrup"),
    ("ew", "egg white"),
    ("dk", "dark"),
    ("jce", "juice"),
    ("abs", "absinthe"),
    ("powd", "powdered"),
    ("hvy", "heavy"),
    ("gran", "granulated"),
    ("mara", "maraschino"),
    ("agr", "agricole"),
    ("blk", "black"),
    ("lj", "lime juice"),
    ("ts", "triple sec"),
    ("ab", "aromatic bitters"),
    ("ob", "orange bitters"),
    ("dv", "dry vermouth"),
    ("sv", "sweet vermouth"),
    ("gj", "grapefruit juice"),
    ("eggw", "egg white"),
    ("ewhite", "egg white"),
    ("ging", "ginger"),
    ("gb", "ginger beer"),
    ("ss", "simple syrup"),
    ("s/s", "simple syrup"),
    ("simp", "simple syrup"),
    ("pomegr", "pomegranate"),
    ("worcs", "worcestershire"),
    ("worc", "worcestershire"),
    ("vod", "vodka"),
    ("pash", "passion fruit"),
    ("biters", "bitters"),
    ("cand", "candied"),
    ("aa", "acid-adjusted"),
    ("leavs", "leaf"),
    ("coff", "coffee"),
    ("gn", "gin"),
    ("brbn", "bourbon"),
    ("tqla", "tequila"),
    ("mzcl", "mezcal"),
    ("lmn", "lemon"),
    ("lme", "lime"),
    ("syrp", "syrup"),
    ("agric", "agricole"),
    ("elderfwr", "elderflower"),
    ("grpft", "grapefruit"),
    ("rhub", "rhubarb"),
    ("chamom", "chamomile"),
    ("h2o", "water"),
    ("syphon", "soda water"),
    ("str", "strain"),
    ("leafs", "leaf"),
];

/// What is blended before it is bought, as the word before `blend`: no work.
pub(super) fn is_bought_blended(word: &str) -> bool {
    matches!(
        word,
        "rum"
            | "whisky"
            | "whiskey"
            | "scotch"
            | "gin"
            | "tequila"
            | "brandy"
            | "tea"
            | "coffee"
            | "vermouth"
            | "spice"
            | "bitter"
            | "amaro"
            | "sherry"
    )
}

/// The two ways to say a liqueur that is called a cream: `crème de cacao`, `cream of cacao`.
const CREAMS: [&str; 3] = ["creme de ", "cream of ", "creme of "];

/// The English way to say a folded name that begins with `crème de`.
fn cream_of(folded: &str) -> Option<String> {
    folded
        .strip_prefix(CREAMS[0])
        .map(|of| format!("{}{of}", CREAMS[1]))
}

/// The French way to say a folded name that begins with `cream of`.
pub(crate) fn creme_de(folded: &str) -> Option<String> {
    CREAMS[1..]
        .iter()
        .find_map(|english| folded.strip_prefix(english))
        .map(|of| format!("{}{of}", CREAMS[0]))
}

/// Words of the trade and names of ingredients, to be looked up in.
#[derive(Debug, Default)]
struct Words {
    /// Every word with its number, from 1.
    ids: HashMap<Box<str>, u32>,
    /// Runs of words by their numbers.
    runs: HashMap<Box<[u32]>, Entry>,
    /// The longest run that a word begins, by its number.
    longest: Vec<u8>,
    /// Whether the word stands in a name, by its number.
    in_name: Vec<bool>,
    /// Words of five letters and more with a letter left out, to find slips by.
    slips: HashMap<Box<str>, Vec<u32>>,
    /// Each word's spelling, by its number.
    spelt: Vec<Box<str>>,
}

impl Words {
    fn id(&mut self, word: &str) -> u32 {
        let one = singular(word);
        if let Some(&id) = self.ids.get(one.as_ref()) {
            return id;
        }
        if self.spelt.is_empty() {
            // 0 is no word.
            self.longest.push(0);
            self.in_name.push(false);
            self.spelt.push("".into());
        }
        let id = u32::try_from(self.spelt.len()).unwrap_or(u32::MAX);
        self.ids.insert(one.as_ref().into(), id);
        self.longest.push(0);
        self.in_name.push(false);
        self.spelt.push(one.as_ref().into());
        for slip in left_out(&one) {
            self.slips.entry(slip.into()).or_default().push(id);
        }
        id
    }

    fn run(&mut self, text: &str) -> Option<&mut Entry> {
        let ids: Vec<u32> = pieces(&key(text)).map(|w| self.id(&w)).collect();
        let first = *ids.first()?;
        let length = u8::try_from(ids.len()).ok()?;
        let longest = &mut self.longest[first as usize];
        *longest = (*longest).max(length);
        Some(self.runs.entry(ids.into()).or_default())
    }

    fn tag(&mut self, tag: Tag, text: &str) {
        if let Some(entry) = self.run(text)
            && !entry.tags.contains(&tag)
        {
            entry.tags.push(tag);
        }
    }

    fn name(&mut self, text: &str, sort: Sort) {
        for word in pieces(&key(text)) {
            let id = self.id(&word) as usize;
            self.in_name[id] = true;
        }
        if let Some(entry) = self.run(text) {
            entry.name = Some(sort);
        }
    }
}

/// The words of a folded name as the tokens of a line are cut.
fn pieces(folded: &str) -> impl Iterator<Item = Cow<'_, str>> {
    folded
        .split(|c: char| c.is_whitespace() || matches!(c, ',' | '(' | ')' | '°'))
        .filter(|w| !w.is_empty())
        .flat_map(|w| match w.strip_suffix('%') {
            Some(number) if !number.is_empty() => vec![Cow::Borrowed(number), Cow::Borrowed("%")],
            _ => vec![Cow::Borrowed(w)],
        })
}

/// A word with its plural ending off; the same for every word that is looked up, so that it need not be right.
pub(super) fn singular(word: &str) -> Cow<'_, str> {
    if !word.is_ascii() || word.len() < 4 {
        return Cow::Borrowed(word);
    }
    if let Some(stem) = word.strip_suffix("ies") {
        return Cow::Owned(format!("{stem}y"));
    }
    match word {
        "leaves" => return Cow::Borrowed("leaf"),
        "halves" => return Cow::Borrowed("half"),
        _ => {}
    }
    for ending in ["sses", "shes", "ches", "xes", "zes", "oes"] {
        if word.ends_with(ending) {
            return Cow::Borrowed(&word[..word.len() - 2]);
        }
    }
    if word.ends_with('s') && !word.ends_with("ss") && !word.ends_with("us") && !word.ends_with("is") {
        return Cow::Borrowed(&word[..word.len() - 1]);
    }
    Cow::Borrowed(word)
}

/// Whether a word counts strength in degrees of proof.
pub(super) fn is_proof(word: &str) -> bool {
    matches!(word, "proof" | "pf")
}

/// Whether a word counts degrees Brix.
pub(crate) fn is_brix(word: &str) -> bool {
    matches!(word.trim_start_matches(['°', 'º']), "bx" | "brix")
}

/// Whether a word is short for another, so that the stop behind it ends no sentence.
pub(super) fn is_short_with_a_stop(word: &str) -> bool {
    matches!(
        word,
        "St."
            | "ca."
            | "Ca."
            | "Dr."
            | "Mr."
            | "Mrs."
            | "min."
            | "max."
            | "abt."
            | "incl."
            | "pref."
            | "approx."
            | "Sm."
            | "sm."
    )
}

/// Whether what stands before a mark says no more than that a recipe follows: `Prep: …`, `Recipe / …`.
pub(super) fn heads_a_recipe(head: &str) -> bool {
    matches!(
        key(head).as_str(),
        "prep" | "recipe" | "mise" | "preparation" | "for the prep"
    )
}

/// A word of five letters or more with each of its letters left out in turn.
fn left_out(word: &str) -> impl Iterator<Item = String> + '_ {
    let long = word.len() >= 5 && word.bytes().all(|b| b.is_ascii_lowercase());
    (0..if long { word.len() } else { 0 }).map(|i| format!("{}{}", &word[..i], &word[i + 1..]))
}

fn sort(ingredient: &Ingredient) -> Sort {
    let solid = matches!(
        ingredient.kind,
        IngredientKind::Fruit | IngredientKind::Herb | IngredientKind::Spice | IngredientKind::Vegetable
    );
    if solid { Sort::Solid } else { Sort::Liquid }
}

static TRADE: LazyLock<Words> = LazyLock::new(|| {
    let mut words = Words::default();
    for (tag, runs) in WORDS {
        for run in runs.split('|') {
            words.tag(*tag, run);
        }
    }
    for glass in crate::tables::Glass::all() {
        for name in std::iter::once(glass.name.as_str()).chain(glass.also.split(';')) {
            words.tag(Tag::Glass, name);
        }
    }
    for (spelling, _) in crate::tables::IceForm::spellings() {
        words.tag(Tag::Ice, spelling);
    }
    for facts in &UNITS {
        for spelling in [facts.written.0, facts.written.1].iter().chain(facts.spellings) {
            words.tag(Tag::Unit(facts.unit), spelling);
        }
    }
    // Water, whatever ice is in it.
    for water in ["ice water", "iced water"] {
        words.name(water, Sort::Liquid);
    }
    let stock = library();
    for ingredient in stock.iter() {
        for name in std::iter::once(&ingredient.name).chain(&ingredient.aliases) {
            words.name(name, sort(ingredient));
            if let Some(other) = cream_of(&key(name)) {
                words.name(&other, sort(ingredient));
            }
        }
        for group in &ingredient.groups {
            for word in pieces(&key(group)) {
                let id = words.id(&word) as usize;
                words.in_name[id] = true;
            }
        }
    }
    for (said, _) in stock.meanings() {
        let sort = match stock.find(said) {
            Found::Sure(i) | Found::Taken(i, _) => sort(i),
            Found::Ask(..) | Found::Unknown => Sort::Liquid,
        };
        words.name(said, sort);
    }
    words
});

/// The names that a house and a book have of their own, beside the library's.
#[derive(Clone, Debug, Default)]
pub struct OwnNames(Arc<HashMap<Box<str>, ()>>);

impl PartialEq for OwnNames {
    fn eq(&self, other: &OwnNames) -> bool {
        self.0 == other.0
    }
}

impl OwnNames {
    /// Those of a stock that are not the library's.
    #[must_use]
    pub fn of(stock: &Stock) -> OwnNames {
        let own = stock
            .iter()
            .filter(|i| i.origin != crate::ingredient::Origin::Library)
            .flat_map(|i| std::iter::once(&i.name).chain(&i.aliases));
        OwnNames::default().and(own.map(String::as_str))
    }

    /// These and others.
    #[must_use]
    pub fn and<'a>(&self, names: impl Iterator<Item = &'a str>) -> OwnNames {
        let mut all: HashMap<Box<str>, ()> = (*self.0).clone();
        all.extend(names.map(|n| (folded_run(n).into(), ())));
        OwnNames(Arc::new(all))
    }

    /// Whether a word, folded and in the singular, stands in any of them.
    pub(super) fn has_word(&self, word: &str) -> bool {
        !self.0.is_empty() && self.0.keys().any(|name| name.split(' ').any(|w| w == word))
    }

    fn has(&self, run: &str) -> bool {
        self.0.contains_key(run)
    }

    fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

/// A name as [`OwnNames`] keeps it: folded, every word in the singular.
fn folded_run(name: &str) -> String {
    pieces(&key(name))
        .map(|w| singular(&w).into_owned())
        .collect::<Vec<_>>()
        .join(" ")
}

/// A word of a line as it is looked up.
#[derive(Clone, Debug)]
pub(super) struct Looked {
    /// Its number; 0 where nobody knows it.
    id: u32,
    /// Folded, in the singular.
    pub folded: String,
    /// What it was taken for where it was mistyped.
    pub meant: Option<Box<str>>,
}

/// Look a word up.
pub(super) fn look(word: &str) -> Looked {
    let typed = key(word.trim_end_matches('.'));
    let folded = singular(&typed).into_owned();
    let id = TRADE.ids.get(folded.as_str()).copied();
    // A shortening of one word is that word: `sweet verm`.
    let short = long_form(&folded).filter(|_| id.is_none()).and_then(|long| {
        let whole = singular(long).into_owned();
        Some((*TRADE.ids.get(whole.as_str())?, long))
    });
    if let Some((id, long)) = short {
        return Looked {
            id,
            folded,
            meant: Some(long.into()),
        };
    }
    let (id, meant) = match id {
        Some(id) => (id, None),
        // A shortening is no slip: `strawb` is no straw.
        None if long_form(&folded).is_some() => (0, None),
        None => match slip(&folded) {
            Some(id) => (id, Some(TRADE.spelt[id as usize].clone())),
            None => (0, None),
        },
    };
    Looked { id, folded, meant }
}

/// Ordinary English words that are one slip away from a word of the trade, in order: what is typed right is no slip.
static ORDINARY: LazyLock<Vec<&str>> = LazyLock::new(|| {
    include_str!("../../../../fixtures/reference/ordinary_words.txt")
        .lines()
        .filter(|l| !l.starts_with('#'))
        .collect()
});

/// The one word of the trade that a word of five letters or more is one slip away from.
fn slip(word: &str) -> Option<u32> {
    if ORDINARY.binary_search(&word).is_ok() {
        return None;
    }
    if word.len() < 5 || !word.bytes().all(|b| b.is_ascii_lowercase()) {
        return None;
    }
    let whole = std::iter::once(word.to_owned());
    let mut near: Vec<u32> = Vec::new();
    for shape in whole.chain(left_out(word)) {
        let same = TRADE.ids.get(shape.as_str()).copied().into_iter();
        let others = TRADE.slips.get(shape.as_str()).into_iter().flatten().copied();
        for id in same.chain(others) {
            let meant = &TRADE.spelt[id as usize];
            if meant.len() >= 5 && !near.contains(&id) && strsim::osa_distance(word, meant) == 1 {
                near.push(id);
            }
        }
    }
    match near.as_slice() {
        [only] => Some(*only),
        _ => None,
    }
}

impl Looked {
    /// The word as it stands, not taken for another: it is one of the house's own.
    pub(super) fn left_as_typed(self) -> Looked {
        Looked {
            id: 0,
            meant: None,
            ..self
        }
    }
}

/// What a shortening stands for.
pub(super) fn long_form(word: &str) -> Option<&'static str> {
    static LONG: LazyLock<HashMap<Cow<str>, &str>> = LazyLock::new(|| {
        SHORT
            .iter()
            .map(|(short, long)| (singular(short), *long))
            .collect()
    });
    LONG.get(word).copied()
}

/// Whether a word stands in any name.
pub(super) fn in_name(word: &Looked) -> bool {
    TRADE.in_name.get(word.id as usize).copied().unwrap_or(false)
}

/// Whether a folded word is one of the trade or of a name, as typed.
pub(super) fn is_word(folded: &str, own: &OwnNames) -> bool {
    TRADE.ids.contains_key(folded) || long_form(folded).is_some() || own.has_word(folded)
}

/// Whether anybody knows the word.
pub(super) fn is_known(word: &Looked) -> bool {
    word.id != 0
}

static OWN: LazyLock<Entry> = LazyLock::new(|| Entry {
    tags: Vec::new(),
    name: Some(Sort::Liquid),
});

/// The runs that begin at the head of `words`, the longest first.
pub(super) fn runs(words: &[Looked], own: &OwnNames) -> Vec<(usize, &'static Entry)> {
    let mut found = Vec::new();
    let Some(first) = words.first() else { return found };
    if !own.is_empty() {
        let most = words.len().min(8);
        let mut run = String::new();
        let mut longest = 0;
        for (i, word) in words[..most].iter().enumerate() {
            if word.folded.is_empty() {
                break;
            }
            if i > 0 {
                run.push(' ');
            }
            run.push_str(&word.folded);
            if own.has(&run) {
                longest = i + 1;
            }
        }
        if longest > 0 {
            found.push((longest, &*OWN));
        }
    }
    if first.id != 0 {
        let most = usize::from(TRADE.longest[first.id as usize]).min(words.len());
        let mut ids = [0_u32; 16];
        let most = most.min(ids.len());
        for (id, word) in ids.iter_mut().zip(&words[..most]) {
            *id = word.id;
        }
        for length in (1..=most).rev() {
            if let Some(entry) = TRADE.runs.get(&ids[..length]) {
                found.push((length, entry));
            }
        }
        found.sort_by_key(|(length, _)| std::cmp::Reverse(*length));
    }
    found
}

/// Whether a run of words, in any folding, is the name of an ingredient here.
pub(super) fn is_name(text: &str, own: &OwnNames) -> bool {
    let words: Vec<Looked> = pieces(&key(text)).map(|w| look(&w)).collect();
    runs(&words, own)
        .iter()
        .any(|(length, entry)| *length == words.len() && entry.name.is_some())
}

/// The same, where no word of it is a slip or a shortening of another.
pub(super) fn is_name_as_spelt(text: &str, own: &OwnNames) -> bool {
    pieces(&key(text)).all(|word| look(&word).meant.is_none()) && is_name(text, own)
}

/// Whether a name stands anywhere in a text.
pub(super) fn names_anything(text: &str, own: &OwnNames) -> bool {
    let words: Vec<Looked> = pieces(&key(text)).map(|w| look(&w)).collect();
    (0..words.len()).any(|i| {
        runs(&words[i..], own)
            .iter()
            .any(|(_, entry)| entry.name.is_some())
    })
}

/// Whether the name of a liquid stands anywhere in a text.
pub(super) fn names_a_liquid(text: &str) -> bool {
    let words: Vec<Looked> = pieces(&key(text)).map(|w| look(&w)).collect();
    let own = OwnNames::default();
    (0..words.len()).any(|i| {
        runs(&words[i..], &own)
            .iter()
            .any(|(_, entry)| entry.name == Some(Sort::Liquid))
    })
}

/// What sort of thing a name is, where it is known.
pub(super) fn sort_of(text: &str) -> Option<Sort> {
    let words: Vec<Looked> = pieces(&key(text)).map(|w| look(&w)).collect();
    runs(&words, &OwnNames::default())
        .iter()
        .find(|(length, entry)| *length == words.len() && entry.name.is_some())
        .and_then(|(_, entry)| entry.name)
}

/// Whether a word by itself is one of work or heads a part of a spec.
pub(super) fn begins_work(word: &str) -> bool {
    !in_name(&look(word))
        && runs(&[look(word)], &OwnNames::default()).iter().any(|(_, e)| {
            e.pick(|t| {
                matches!(
                    t,
                    Tag::Work(_) | Tag::Strain { .. } | Tag::Header | Tag::Top | Tag::All | Tag::Serve
                )
                .then_some(())
            })
            .is_some()
        })
}

/// Whether the last word of a name has a tag.
pub(super) fn has_tag(text: &str, tag: Tag) -> bool {
    let words: Vec<Looked> = pieces(&key(text)).map(|w| look(&w)).collect();
    words.last().is_some_and(|last| {
        runs(std::slice::from_ref(last), &OwnNames::default())
            .iter()
            .any(|(_, e)| e.is(tag))
    })
}

/// Whether a run of words, all of it, has a tag.
pub(super) fn is_tagged(text: &str, tag: Tag) -> bool {
    let words: Vec<Looked> = pieces(&key(text)).map(|w| look(&w)).collect();
    runs(&words, &OwnNames::default())
        .iter()
        .any(|(length, e)| *length == words.len() && e.is(tag))
}

/// Whether words say what a glass is like, and nothing else.
pub(super) fn is_glass_like(text: &str) -> bool {
    let words: Vec<Looked> = pieces(&key(text)).map(|w| look(&w)).collect();
    let own = OwnNames::default();
    let mut at = 0;
    while at < words.len() {
        match runs(&words[at..], &own)
            .into_iter()
            .find(|(_, e)| e.is(Tag::GlassLike) || e.is(Tag::Glass))
        {
            Some((length, _)) => at += length,
            None => return false,
        }
    }
    !words.is_empty()
}

/// Whether words only join, point or count.
pub(super) fn is_filler(folded: &str) -> bool {
    let words: Vec<Looked> = pieces(folded).map(|w| look(&w)).collect();
    let own = OwnNames::default();
    let mut at = 0;
    while at < words.len() {
        let filler = runs(&words[at..], &own).into_iter().find(|(_, e)| {
            [
                Tag::Article,
                Tag::All,
                Tag::Serve,
                Tag::Joint,
                Tag::With,
                Tag::Preposition,
                Tag::Manner,
                Tag::NoGarnish,
                Tag::Header,
            ]
            .iter()
            .any(|t| e.is(*t))
        });
        match filler {
            Some((length, _)) => at += length,
            None => return false,
        }
    }
    true
}

/// A folded name without the words at its ends that say how it is bought or kept.
pub(crate) fn without_qualities(folded: &str) -> String {
    let words: Vec<Looked> = pieces(folded).map(|w| look(&w)).collect();
    let typed: Vec<Cow<str>> = pieces(folded).collect();
    let own = OwnNames::default();
    let quality = |from: usize| {
        runs(&words[from..], &own)
            .into_iter()
            .find(|(_, e)| e.is(Tag::Quality) || e.is(Tag::Article))
            .map(|(length, _)| length)
    };
    // What the house made itself is not what is bought under that name.
    let own_made = |from: usize, length: usize| {
        typed[from..from + length].iter().any(|w| {
            matches!(
                w.as_ref(),
                "house" | "own" | "homemade" | "home" | "housemade" | "made"
            )
        })
    };
    let mut from = 0;
    while from < words.len()
        && let Some(length) = quality(from)
    {
        if own_made(from, length) {
            return folded.to_owned();
        }
        from += length;
    }
    // The last run of words that is all qualities.
    let mut to = words.len();
    for at in (from + 1..words.len()).rev() {
        let mut end = at;
        while end < to
            && let Some(length) = quality(end)
        {
            end += length;
        }
        if end >= to {
            to = at;
        }
    }
    if from >= to {
        return folded.to_owned();
    }
    typed[from..to].join(" ")
}
