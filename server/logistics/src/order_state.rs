//! The states of a pooled order and what moves it from one to the next.
//!
//! Promises that an order only goes forward, and that one which gathered too little is called
//! off. Does not know who may do what, when, or what a state costs.
//!
//! # Source
//! [HOUSE](crate::sources)

use thiserror::Error;

/// Where a pooled order stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum OrderState {
    /// Clubs may still join and change their quantity.
    Gathering,
    /// Quantities are fixed; the order is not yet with the supplier.
    Closed,
    /// The supplier has the order.
    Placed,
    /// The goods have come.
    Delivered,
    /// Every club has been charged its share.
    Settled,
    /// The order will not be placed.
    CalledOff,
}

/// What happens to a pooled order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OrderEvent {
    /// The gathering ends with this much in the order.
    Close {
        /// What the clubs want together.
        total_kg: i64,
        /// What the supplier delivers at least.
        smallest_kg: i64,
    },
    /// The order goes to the supplier.
    Place,
    /// The goods come.
    Deliver,
    /// The shares are charged.
    Settle,
    /// The order is given up.
    CallOff,
}

/// Why an order does not move.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum OrderStateError {
    /// The event does not happen to an order in this state.
    #[error("an order that is {} cannot {}", state.as_str().replace('_', " "), event.as_verb())]
    NotFromHere {
        /// Where the order stands.
        state: OrderState,
        /// What was asked of it.
        event: OrderEvent,
    },
    /// The word names no state.
    #[error("no such state of an order")]
    UnknownState,
}

impl OrderState {
    /// Every state, in the order of an order's life, the calling-off last.
    pub const ALL: [Self; 6] =
        [Self::Gathering, Self::Closed, Self::Placed, Self::Delivered, Self::Settled, Self::CalledOff];

    /// The state as one word, the same in storage and on the wire.
    #[must_use]
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Gathering => "gathering",
            Self::Closed => "closed",
            Self::Placed => "placed",
            Self::Delivered => "delivered",
            Self::Settled => "settled",
            Self::CalledOff => "called_off",
        }
    }

    /// Reads the word that [`as_str`](Self::as_str) writes.
    ///
    /// # Errors
    /// Any other word.
    pub fn parse(word: &str) -> Result<Self, OrderStateError> {
        Self::ALL.into_iter().find(|state| state.as_str() == word).ok_or(OrderStateError::UnknownState)
    }
}

impl OrderEvent {
    /// The event as it follows "cannot".
    fn as_verb(self) -> &'static str {
        match self {
            Self::Close { .. } => "close",
            Self::Place => "be placed",
            Self::Deliver => "be delivered",
            Self::Settle => "be settled",
            Self::CallOff => "be called off",
        }
    }
}

/// The state after an event.
///
/// Closing an order that is empty, or smaller than the supplier delivers, calls it off.
///
/// # Errors
/// An event that does not happen in the state: an order is placed only once closed, delivered
/// only once placed, settled only once delivered, and called off only before it is placed.
///
/// # Properties
/// No event leads back to a state the order has left; settled and called off are final.
///
/// # Example
/// ```
/// use logistics::order_state::{OrderEvent, OrderState, next};
/// let event = OrderEvent::Close { total_kg: 19_000, smallest_kg: 20_000 };
/// assert_eq!(next(OrderState::Gathering, event)?, OrderState::CalledOff);
/// # Ok::<(), logistics::order_state::OrderStateError>(())
/// ```
pub fn next(state: OrderState, event: OrderEvent) -> Result<OrderState, OrderStateError> {
    match (state, event) {
        (OrderState::Gathering, OrderEvent::Close { total_kg, smallest_kg }) => {
            Ok(if total_kg <= 0 || total_kg < smallest_kg { OrderState::CalledOff } else { OrderState::Closed })
        }
        (OrderState::Closed, OrderEvent::Place) => Ok(OrderState::Placed),
        (OrderState::Placed, OrderEvent::Deliver) => Ok(OrderState::Delivered),
        (OrderState::Delivered, OrderEvent::Settle) => Ok(OrderState::Settled),
        (OrderState::Gathering | OrderState::Closed, OrderEvent::CallOff) => Ok(OrderState::CalledOff),
        _ => Err(OrderStateError::NotFromHere { state, event }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use OrderState::{CalledOff, Closed, Delivered, Gathering, Placed, Settled};

    const ENOUGH: OrderEvent = OrderEvent::Close { total_kg: 20_000, smallest_kg: 20_000 };

    #[test]
    fn every_event_in_every_state_is_settled_by_this_table() {
        let events = [ENOUGH, OrderEvent::Place, OrderEvent::Deliver, OrderEvent::Settle, OrderEvent::CallOff];
        let table = [
            (Gathering, [Some(Closed), None, None, None, Some(CalledOff)]),
            (Closed, [None, Some(Placed), None, None, Some(CalledOff)]),
            (Placed, [None, None, Some(Delivered), None, None]),
            (Delivered, [None, None, None, Some(Settled), None]),
            (Settled, [None, None, None, None, None]),
            (CalledOff, [None, None, None, None, None]),
        ];
        assert_eq!(table.map(|row| row.0), OrderState::ALL);
        for (state, row) in table {
            for (event, expected) in events.into_iter().zip(row) {
                let expected = expected.ok_or(OrderStateError::NotFromHere { state, event });
                assert_eq!(next(state, event), expected, "{state:?} {event:?}");
            }
        }
    }

    #[test]
    fn an_order_that_gathered_too_little_is_called_off_at_closing() {
        for (total_kg, smallest_kg, state) in [
            (0, 0, CalledOff),
            (0, 1_000, CalledOff),
            (-1, 0, CalledOff),
            (999, 1_000, CalledOff),
            (1_000, 1_000, Closed),
            (1, 0, Closed),
        ] {
            let event = OrderEvent::Close { total_kg, smallest_kg };
            assert_eq!(next(Gathering, event), Ok(state), "{total_kg} of {smallest_kg}");
        }
    }

    #[test]
    fn a_state_reads_back_from_its_own_word() {
        for state in OrderState::ALL {
            assert_eq!(OrderState::parse(state.as_str()), Ok(state));
        }
        assert_eq!(OrderState::parse("Gathering"), Err(OrderStateError::UnknownState));
    }

    #[test]
    fn a_refusal_says_in_words_what_does_not_go() {
        let refusal = next(Settled, OrderEvent::CallOff).unwrap_err();
        assert_eq!(refusal.to_string(), "an order that is settled cannot be called off");
        let refusal = next(CalledOff, ENOUGH).unwrap_err();
        assert_eq!(refusal.to_string(), "an order that is called off cannot close");
    }
}
