use clap::Args;
use rust_decimal::Decimal;
use washline_core::ingredient::{
    Bought, Found, Lost, Offer, Package, Portion, Price, Stock, Tax, Yielding, library, percentage,
};
use washline_core::measure::{Currency, Ounce};
use washline_core::names::{Expected, key, yes_or_no};
use washline_core::spec::{Money, Settings};
use washline_core::store::House;

use super::Call;
use crate::error::CliError;
use crate::output::Output;
use crate::render::{self, plain};
use crate::{clock, inputs};

/// What an ingredient, a garnish or ice is bought for: set it, see its history, list all prices.
///
/// Without NAME: every price that holds. With NAME alone: its history. With --price and --package: a new price,
/// kept beside the earlier ones; the same name and day again mends a slip. What comes of a package (juice of a
/// fruit, trimmings, what an infusion keeps back) makes the span of a drink's cost.
///
/// Example: washline ingredient price vodka --package "1 l" --price 15 --currency EUR --source invoice
#[derive(Debug, Args)]
pub struct Prices {
    /// The ingredient, by name or alias; `ice`; or, with --garnish, the words of a garnish.
    #[arg(value_name = "NAME")]
    name: Option<String>,

    /// What one buys: `700 ml`, `6 x 700 ml`, `1 kg`, `20 fruit`, `12 pieces`.
    #[arg(long, value_name = "SIZE", requires = "price")]
    package: Option<String>,
    /// What the whole package costs, as on the invoice.
    #[arg(long, value_name = "MONEY", requires = "package", conflicts_with_all = ["free", "unset"])]
    price: Option<String>,
    /// In which currency (ISO 4217); without it, that of the house.
    #[arg(long, value_name = "CODE", requires = "price")]
    currency: Option<String>,
    /// The tax on it. Without it the price is taken as it stands.
    #[arg(long, value_name = "PCT", requires = "price")]
    tax: Option<String>,
    /// Whether the price holds that tax: yes or no. Where it does, the cost is worked out without it.
    #[arg(long, value_name = "YES_OR_NO", requires = "tax")]
    tax_included: Option<String>,
    /// The deposit that is in the price and comes back with the empties; taken off before the tax.
    #[arg(long, value_name = "MONEY", requires = "price")]
    deposit: Option<String>,
    /// What comes of it: `30 ml per fruit, 20 to 35`, `450 ml per kg`, `8 pieces per fruit`.
    #[arg(long = "yield", value_name = "WORDS", requires = "price")]
    yields: Option<String>,
    /// What is spilt, over-poured or trimmed off: `5 %` or `5 %, 3 to 8`.
    #[arg(long, value_name = "PCT", requires = "price")]
    waste: Option<String>,
    /// What an infusion or a strainer keeps back: `12 %` or `12 %, 10 to 15`.
    #[arg(long, value_name = "PCT", requires = "price")]
    loss: Option<String>,
    /// What a drink takes of it where the spec gives no amount, for garnish and ice: `300 g`, `1 piece`.
    #[arg(long, value_name = "SIZE")]
    portion: Option<String>,

    /// It costs nothing: tap water, mint from the roof.
    #[arg(long, conflicts_with = "unset")]
    free: bool,
    /// Its price holds no longer; the history stays.
    #[arg(long)]
    unset: bool,
    /// NAME is the words of a garnish as specs have them, and no ingredient.
    #[arg(long)]
    garnish: bool,

    /// Who says so: an invoice, a price list. Needed with --price and --free.
    #[arg(long, value_name = "WORDS")]
    source: Option<String>,
    /// Since when, `2026-11-12`; without it, today.
    #[arg(long, value_name = "DATE")]
    at: Option<String>,
}

/// A date as prices are dated.
pub fn date(text: &str) -> Result<jiff::civil::Date, Expected> {
    text.trim()
        .parse()
        .map_err(|_| Expected::new("expected a date such as 2026-11-12"))
}

/// What was wrong with each option, so that all of it is said in one run.
#[derive(Default)]
pub struct OptionFaults(Vec<String>);

impl OptionFaults {
    /// The value, or what is wrong with it kept for later.
    pub fn take<T>(&mut self, option: &str, text: &str, read: Result<T, Expected>) -> Option<T> {
        read.map_err(|expected| self.0.push(format!("--{option} {text}: {expected}")))
            .ok()
    }

    /// The same of an option that need not be there.
    pub fn maybe<T>(
        &mut self,
        option: &str,
        text: Option<&String>,
        read: impl Fn(&str) -> Result<T, Expected>,
    ) -> Option<T> {
        text.and_then(|text| self.take(option, text, read(text)))
    }

    /// Something else that is wrong.
    pub fn say(&mut self, what: impl Into<String>) {
        self.0.push(what.into());
    }

    /// An error of all of it, if there is any.
    pub fn done(self) -> Result<(), CliError> {
        if self.0.is_empty() {
            Ok(())
        } else {
            Err(CliError::usage(self.0.join("\n       ")))
        }
    }
}

impl Prices {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let writes = self.price.is_some() || self.free || self.unset;
        let Some(name) = self.name.clone() else {
            if writes || self.portion.is_some() || self.garnish {
                return Err(CliError::usage("a price of what? expected a NAME"));
            }
            return list(call);
        };
        if !writes {
            if self.portion.is_some() || self.source.is_some() || self.at.is_some() {
                return Err(CliError::usage(
                    "nothing to keep: expected --price with --package, --free or --unset",
                ));
            }
            return history(call, &name, self.garnish);
        }
        let (settings, stock) = context(call)?;
        let price = self.read(&name, &settings, &stock)?;
        let path = inputs::path(call.house.as_deref())?;
        let holds = |house: &House| -> Result<bool, CliError> {
            Ok(house
                .prices(None)?
                .house()
                .any(|p| key(&p.name) == key(&price.name)))
        };
        if self.unset && !(path.exists() && holds(&inputs::to_read(call.house.as_deref())?)?) {
            return Err(no_price(&price.name));
        }
        let mut output = Output::default();
        if !self.garnish && key(&price.name) != key(&name) {
            output.notes = format!("{}: taken as {}\n", plain(&name), plain(&price.name));
        }
        let mut house = inputs::to_write(call.house.as_deref(), &mut output.notes)?;
        let replaced = house.keep_price(&price)?;
        output.out = if call.json {
            render::written(&washline_view::price::Prices::of(
                &[(None, &price)],
                Some(replaced),
            ))
        } else {
            render::cost::kept(&price, replaced)
        };
        Ok(output)
    }

    /// The price that the options say; everything wrong with them at once.
    fn read(&self, name: &str, settings: &Settings, stock: &Stock) -> Result<Price, CliError> {
        let ounce = settings.ounce.unwrap_or_default();
        let mut wrongs = OptionFaults::default();
        let name = if self.garnish {
            let words = name.trim().to_owned();
            if key(&words).is_empty() {
                wrongs.say("a garnish needs words");
            }
            words
        } else {
            named(stock, name)?
        };
        let source = match &self.source {
            Some(source) if !source.trim().is_empty() => source.trim().to_owned(),
            _ if self.unset => "withdrawn".to_owned(),
            _ => {
                wrongs.say("--source: expected who says so, such as \"invoice, 12 November\"");
                String::new()
            }
        };
        let since = match &self.at {
            Some(at) => wrongs.take("at", at, date(at)),
            None => Some(clock::today()),
        };
        let portion = wrongs.maybe("portion", self.portion.as_ref(), |t| Portion::read(t, ounce));
        let offer = match (&self.package, &self.price) {
            _ if self.free => Some(Offer::Free),
            _ if self.unset => Some(Offer::Withdrawn),
            (Some(package), Some(price)) => self
                .bought(package, price, settings, ounce, &mut wrongs)
                .map(Offer::Bought),
            _ => None,
        };
        wrongs.done()?;
        let offer = offer.ok_or_else(|| CliError::usage("expected --price with --package"))?;
        Ok(Price {
            name,
            offer,
            portion,
            source,
            since,
        })
    }

    fn bought(
        &self,
        package: &str,
        price: &str,
        settings: &Settings,
        ounce: Ounce,
        wrongs: &mut OptionFaults,
    ) -> Option<Bought> {
        let package = wrongs.take("package", package, Package::read(package, ounce));
        let money = wrongs.take("price", price, price.parse::<Money>());
        let of_price = money.as_ref().and_then(|m| m.currency);
        let of_option = wrongs.maybe("currency", self.currency.as_ref(), Currency::named);
        let currency = match (of_option, of_price) {
            (Some(a), Some(b)) if a != b => {
                wrongs.say(format!(
                    "--price {price} and --currency {a}: expected one currency"
                ));
                None
            }
            (Some(currency), _) => Some(currency),
            (None, of_price) => of_price.or(settings.currency),
        };
        if money.is_some() && currency.is_none() && self.currency.is_none() && of_price.is_none() {
            wrongs.say(
                "--currency: expected one, such as EUR; or set it once: washline settings set currency EUR",
            );
        }
        let tax = wrongs.maybe("tax", self.tax.as_ref(), percentage);
        let included = wrongs.maybe("tax-included", self.tax_included.as_ref(), yes_or_no);
        if self.tax.is_some() && self.tax_included.is_none() {
            wrongs.say("--tax: does the price hold it? expected --tax-included yes or --tax-included no");
        }
        let deposit = wrongs.maybe("deposit", self.deposit.as_ref(), |text| {
            let money: Money = text.parse()?;
            match money.currency {
                None => Ok(money.amount),
                Some(_) => Err(Expected::new(
                    "expected a sum in the currency of the price, without a code",
                )),
            }
        });
        let yields = wrongs.maybe("yield", self.yields.as_ref(), |t| Yielding::read(t, ounce));
        let waste = wrongs.maybe("waste", self.waste.as_ref(), Lost::read);
        let loss = wrongs.maybe("loss", self.loss.as_ref(), Lost::read);
        let bought = Bought {
            package: package?,
            price: money?.amount,
            currency: Some(currency?),
            tax: tax.zip(included).map(|(pct, included)| Tax { pct, included }),
            deposit: deposit.filter(|d| *d > Decimal::ZERO),
            yields,
            waste,
            loss,
        };
        if let Err(expected) = bought.sound() {
            wrongs.say(expected);
        }
        Some(bought)
    }
}

/// The settings and stock of the house, or the bare library where there is no house yet.
fn context(call: &Call) -> Result<(Settings, Stock), CliError> {
    Ok(match inputs::if_any(call.house.as_deref())? {
        Some(house) => (house.settings()?, house.pantry()?),
        None => (Settings::default(), library().clone()),
    })
}

/// The ingredient meant, or ice.
fn named(stock: &Stock, name: &str) -> Result<String, CliError> {
    if key(name) == "ice" {
        return Ok("ice".to_owned());
    }
    match stock.find(name) {
        Found::Sure(ingredient) | Found::Taken(ingredient, _) => Ok(ingredient.name.clone()),
        Found::Ask(candidates, why) => Err(CliError::input(format!(
            "`{name}` could be {}: {why}",
            candidates.join(" or ")
        ))),
        // Poured as its kind, and bought under its own name.
        Found::Unknown if stock.poured(name).is_some() => Ok(name.trim().to_owned()),
        Found::Unknown => Err(CliError::input(format!("no ingredient `{name}`"))
            .near(&stock.nearest(name))
            .hint("for a garnish by the words of the spec, or a sort of ice, say --garnish")),
    }
}

fn list(call: &Call) -> Result<Output, CliError> {
    let house = inputs::to_read(call.house.as_deref())?;
    let prices = house.prices(Some(clock::today()))?;
    let all: Vec<(Option<&str>, &Price)> = prices
        .house()
        .map(|p| (None, p))
        .chain(prices.of_books().map(|(book, p)| (Some(book), p)))
        .collect();
    Ok(Output::of(told(call, &all)))
}

fn told(call: &Call, all: &[(Option<&str>, &Price)]) -> String {
    if call.json {
        render::written(&washline_view::price::Prices::of(all, None))
    } else {
        render::cost::price_list(all)
    }
}

fn history(call: &Call, name: &str, garnish: bool) -> Result<Output, CliError> {
    let house = inputs::to_read(call.house.as_deref())?;
    let mut history = house.price_history(name)?;
    let mut output = Output::default();
    if history.is_empty() && !garnish {
        let stock = house.pantry()?;
        let named = named(&stock, name)?;
        if key(&named) != key(name) {
            output.notes = format!("{}: {}\n", plain(name), plain(&named));
        }
        history = house.price_history(&named)?;
    }
    if history.is_empty() {
        return Err(no_price(name).hint(format!(
            "washline ingredient price \"{name}\" --package … --price … --source … sets one"
        )));
    }
    let all: Vec<(Option<&str>, &Price)> = history.iter().map(|p| (None, p)).collect();
    output.out = told(call, &all);
    Ok(output)
}

fn no_price(name: &str) -> CliError {
    CliError::input(format!("the house has no price of {name}"))
}
