import { getHireCosts, getPlanCosts, tryInvoice } from '$lib/hire_shares/calls';
import { getRound } from '$lib/hires/calls';
import { getPlans } from '$lib/rounds/calls';
import type { HireCosts, Plan } from '$lib/api/types';
import type { PageLoad } from './$types';

/** While places can still be refused, what a plan would cost says more than the bookings, of which there are none. */
const UNDECIDED = ['gathering', 'requests_closed', 'offered'];

export const load: PageLoad = async ({ parent, params }) => {
	const { here } = await parent();
	const round = await getRound(here.id, params.id);
	const undecided = UNDECIDED.includes(round.state);
	const plan = undecided ? planToShow((await getPlans(here.id, params.id)).plans) : undefined;
	const costs = plan
		? await getPlanCosts(here.id, plan.plan_id)
		: await Promise.all(round.hires.map((hire) => asInvoiced(here.id, hire.hire_id)));
	return { round, costs, plan, undecided };
};

/** Once an invoice is entered, the other rules are shown for it and not for the one that was expected. */
async function asInvoiced(network: string, hireId: string): Promise<HireCosts> {
	const costs = await getHireCosts(network, hireId);
	const { entered } = costs;
	if (!entered || entered.invoice_pence === costs.expected_invoice_pence) return costs;
	return tryInvoice(network, hireId, entered.invoice_pence);
}

function planToShow(plans: Plan[]): Plan | undefined {
	const made = plans.filter((plan) => plan.ready_at !== null && plan.purpose !== 'refill');
	return (
		made.find((plan) => plan.state === 'chosen') ?? made.find((plan) => plan.order === 'between') ?? made[0]
	);
}
