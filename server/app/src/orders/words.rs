//! The words that describe orders and what is done with them.

use logistics::order_state::{self, OrderEvent};

use crate::words::words;

words! {
    /// Where a pooled order stands.
    OrderState {
        /// Clubs add and change their lines.
        Gathering = "gathering",
        /// Its time came; shares are entered.
        Closed = "closed",
        /// The supplier has it.
        Placed = "placed",
        /// The goods have come.
        Delivered = "delivered",
        /// The supplier's invoice is paid.
        Settled = "settled",
        /// It will not be placed; nobody owes anything for it.
        CalledOff = "called_off",
    }

    /// A step of an order. Closing is none: it happens at its time by itself.
    OrderStep {
        /// The supplier has the order.
        Place = "place",
        /// The goods have come.
        Deliver = "deliver",
        /// The supplier's invoice is paid.
        Settle = "settle",
        /// The order is given up.
        CallOff = "call_off",
    }
}

impl From<order_state::OrderState> for OrderState {
    fn from(state: order_state::OrderState) -> Self {
        use order_state::OrderState as Stage;
        match state {
            Stage::Gathering => Self::Gathering,
            Stage::Closed => Self::Closed,
            Stage::Placed => Self::Placed,
            Stage::Delivered => Self::Delivered,
            Stage::Settled => Self::Settled,
            Stage::CalledOff => Self::CalledOff,
        }
    }
}

impl From<OrderState> for order_state::OrderState {
    fn from(state: OrderState) -> Self {
        match state {
            OrderState::Gathering => Self::Gathering,
            OrderState::Closed => Self::Closed,
            OrderState::Placed => Self::Placed,
            OrderState::Delivered => Self::Delivered,
            OrderState::Settled => Self::Settled,
            OrderState::CalledOff => Self::CalledOff,
        }
    }
}

impl From<OrderStep> for OrderEvent {
    fn from(step: OrderStep) -> Self {
        match step {
            OrderStep::Place => Self::Place,
            OrderStep::Deliver => Self::Deliver,
            OrderStep::Settle => Self::Settle,
            OrderStep::CallOff => Self::CallOff,
        }
    }
}
