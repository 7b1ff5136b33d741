import {
  atDesk,
  expect,
  expectAccessible,
  follow,
  keepPicture,
  people,
  settled,
  signIn,
  test,
} from "./fixtures";

test("a coordinator plans the round, tries a club elsewhere, pins it, and chooses", async ({
  page,
}) => {
  await signIn(page, people.coordinator);
  await page.goto("/rounds");
  await settled(page);
  await follow(page, /Deep tines, first week of May/, /\/rounds\/./);
  await follow(page, "Plan the round", /\/plans$/);
  await expect(
    page.getByText("The round has not been planned yet."),
  ).toBeVisible();
  await page.getByRole("button", { name: "Plan the round" }).click();
  await expect(
    page.getByRole("heading", { level: 2, name: /In between Ready/ }),
  ).toBeVisible({ timeout: 90_000 });
  await expect(
    page.getByRole("heading", { level: 2, name: /Wishes first Ready/ }),
  ).toBeVisible({ timeout: 90_000 });
  await expect(page.getByText("best possible").first()).toBeVisible();
  await expectAccessible(page);
  await keepPicture(page, "plans");
  await atDesk(page, () => keepPicture(page, "plans"));

  const club = page.getByLabel("Club", { exact: true });
  await club.selectOption({ index: 1 });
  await page.getByLabel("When it begins").selectOption({ index: 1 });
  await page.getByRole("button", { name: "What would that cost?" }).click();
  await expect(
    page.getByText(/It costs nothing|It can be there|It cannot be there/),
  ).toBeVisible({ timeout: 15_000 });
  await keepPicture(page, "plans-tried");
  await page.getByRole("button", { name: "Pin it there" }).click();
  await expect(
    page.getByRole("heading", { name: "Pinned and forbidden" }),
  ).toBeVisible();
  await expect(
    page.getByText("Something changed since these plans were made"),
  ).toBeVisible();
  await page.getByRole("button", { name: "Take it away" }).click();
  await page.getByRole("button", { name: "Plan it again" }).click();
  await expect(
    page.getByRole("heading", { level: 2, name: /Least road first Ready/ }),
  ).toBeVisible({ timeout: 90_000 });
  await page
    .getByRole("listitem")
    .filter({ hasText: "Least road first" })
    .getByRole("button", { name: "Choose it" })
    .click();
  await expect(page.getByText(/^Least road first, chosen/)).toBeVisible();
});
