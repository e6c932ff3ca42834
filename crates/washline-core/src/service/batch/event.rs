//! A whole event: so many drinks for so many guests, batched, made and bought for together.

use super::shopping::{Shopping, shopping};
use super::{Ask, BOUGHT_KG_A_DRINK, Batch, BatchError, Size, batch};
use crate::computed::ComputedDrink;
use crate::names::key;
use crate::service::cost::Prices;

/// How much more of one drink than of another.
#[derive(Clone, Debug, PartialEq)]
pub struct Weight {
    /// The drink.
    pub drink: String,
    /// Its share, where each other has 1.
    pub share: f64,
}

/// An event, worked out.
#[derive(Clone, Debug)]
pub struct Event {
    /// Guests.
    pub guests: u32,
    /// Drinks each.
    pub each: f64,
    /// Drinks in all, each kind rounded up.
    pub serves: u32,
    /// A batch of each drink that can be batched.
    pub drinks: Vec<Batch>,
    /// Drinks that cannot, and why.
    pub left_out: Vec<(String, BatchError)>,
    /// What to make and to buy for all of them.
    pub shopping: Shopping,
    /// Ice that the work and the glasses take, g.
    pub ice_g: f64,
    /// Ice that the trade would buy for so many drinks, kg.
    pub ice_bought_kg: (f64, f64),
}

/// Work out an event: `each` drinks for every guest, shared among the drinks by their weights. `ask` says how each batch
/// is kept and served; its size is the event's.
#[must_use]
pub fn event(
    drinks: &[ComputedDrink],
    guests: u32,
    each: f64,
    weights: &[Weight],
    ask: &Ask,
    prices: &Prices,
) -> Event {
    let share = |worked: &ComputedDrink| {
        weights
            .iter()
            .find(|w| key(&w.drink) == key(worked.name()))
            .map_or(1.0, |w| w.share)
    };
    let whole: f64 = drinks.iter().map(share).sum();
    let all = f64::from(guests) * each;
    let mut batches: Vec<(&ComputedDrink, Batch)> = Vec::new();
    let mut left_out = Vec::new();
    for worked in drinks {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
        let serves = (all * share(worked) / whole.max(f64::MIN_POSITIVE) - 1e-9)
            .ceil()
            .clamp(0.0, 1e9) as u32;
        if serves == 0 {
            continue;
        }
        let ask = Ask {
            size: Size::Serves(serves),
            ..ask.clone()
        };
        match batch(worked, &ask, prices) {
            Ok(batch) => batches.push((worked, batch)),
            Err(why) => left_out.push((worked.name().to_owned(), why)),
        }
    }
    let serves = batches.iter().map(|(_, b)| b.serves).sum();
    let ice_g = batches.iter().map(|(_, b)| b.ice_g).sum();
    let shopping = shopping(batches.iter().map(|(worked, batch)| (*worked, batch)), prices);
    Event {
        guests,
        each,
        serves,
        shopping,
        ice_g,
        ice_bought_kg: (
            f64::from(serves) * BOUGHT_KG_A_DRINK.0,
            f64::from(serves) * BOUGHT_KG_A_DRINK.1,
        ),
        drinks: batches.into_iter().map(|(_, batch)| batch).collect(),
        left_out,
    }
}
