// SPDX-License-Identifier: Apache-2.0
//
// Every number that is no orchard is refused, by field, value and what is allowed.
#include <doctest/doctest.h>

#include <cmath>
#include <functional>
#include <limits>

#include "orchard/limits.h"
#include "orchard/target.h"

using namespace nthtree::orchard;

namespace {

TargetInput good_fruits() {
  TargetInput input;
  input.fruits_per_tree = 100;
  input.floral_fraction = 0.6;
  return input;
}

TargetInput good_yield() {
  TargetInput input = good_fruits();
  input.fruits_per_tree.reset();
  input.yield = YieldGoal{.amount = 1000};
  input.yield->fruit_size.count_per_box = 88;
  return input;
}

TargetInput good_trunk() {
  TargetInput input = good_fruits();
  input.fruits_per_tree.reset();
  input.trunk = TrunkGoal{.girth_mm = 200, .diameter_mm = {}, .fruits_per_cm2 = 5};
  return input;
}

// The error's place and id, or "worked".
std::string refusal(const TargetInput& input, const std::optional<Spacing>& spacing = {},
                    const std::optional<Estimate>& floral = {}) {
  const auto target = work_out_target(input, spacing, floral);
  return target.ok() ? "worked" : target.error().where + " " + target.error().id;
}

}  // namespace

TEST_SUITE("orchard") {
  TEST_CASE("the inputs these refusals start from are good") {
    CHECK(refusal(good_fruits()) == "worked");
    CHECK(refusal(good_yield(), Spacing{3.5, 1}) == "worked");
    CHECK(refusal(good_trunk()) == "worked");
  }

  TEST_CASE("each field has its range, at the limit and past it, and NaN is in none") {
    struct Field {
      const char* name;
      Range range;
      std::function<TargetInput()> base;
      std::function<void(TargetInput&, double)> set;
    };
    const Field fields[] = {
        {"fruits_per_tree", limits::fruits_per_tree, good_fruits,
         [](TargetInput& i, double v) { i.fruits_per_tree = v; }},
        {"insurance_factor", limits::insurance_factor, good_fruits,
         [](TargetInput& i, double v) { i.insurance_factor = v; }},
        {"floral_fraction", limits::floral_fraction, good_fruits,
         [](TargetInput& i, double v) { i.floral_fraction = v; }},
        {"flowers_per_spur", limits::flowers_per_spur, good_fruits,
         [](TargetInput& i, double v) { i.flowers_per_spur = v; }},
        {"seeds_per_fruit", limits::seeds_per_fruit, good_fruits,
         [](TargetInput& i, double v) { i.seeds_per_fruit = v; }},
        {"yield.box_kg", limits::box_kg, good_yield,
         [](TargetInput& i, double v) { i.yield->box_kg = v; }},
        {"yield.bin_kg", limits::bin_kg, good_yield,
         [](TargetInput& i, double v) { i.yield->bin_kg = v; }},
        {"yield.pack_out_fraction", limits::pack_out_fraction, good_yield,
         [](TargetInput& i, double v) { i.yield->pack_out_fraction = v; }},
        {"yield.fruit_size.count_per_box", limits::count_per_box, good_yield,
         [](TargetInput& i, double v) { i.yield->fruit_size.count_per_box = v; }},
        {"yield.fruit_size.grams", limits::fruit_grams, good_yield,
         [](TargetInput& i, double v) { i.yield->fruit_size = {}, i.yield->fruit_size.grams = v; }},
        {"yield.fruit_size.diameter_mm", limits::fruit_diameter_mm, good_yield,
         [](TargetInput& i, double v) {
           i.yield->fruit_size = {}, i.yield->fruit_size.diameter_mm = v;
         }},
        {"trunk.girth_mm", limits::trunk_girth_mm, good_trunk,
         [](TargetInput& i, double v) { i.trunk->girth_mm = v; }},
        {"trunk.diameter_mm", limits::trunk_diameter_mm, good_trunk,
         [](TargetInput& i, double v) { i.trunk->girth_mm.reset(), i.trunk->diameter_mm = v; }},
        {"trunk.fruits_per_cm2", limits::fruits_per_cm2, good_trunk,
         [](TargetInput& i, double v) { i.trunk->fruits_per_cm2 = v; }},
    };
    for (const Field& field : fields) {
      CAPTURE(field.name);
      const auto check = [&](double value) {
        TargetInput input = field.base();
        field.set(input, value);
        return check_target_input(input);
      };
      CHECK(check(field.range.low).ok());
      CHECK(check(field.range.high).ok());
      const double past[] = {std::nextafter(field.range.low, -1.0),
                             std::nextafter(field.range.high, 1e18), -1, 0, 1e9,
                             std::nan(""), std::numeric_limits<double>::infinity()};
      for (const double value : past) {
        CAPTURE(value);
        const auto status = check(value);
        CHECK_FALSE(status.ok());
        if (status.ok()) return;
        CHECK(status.error().where == field.name);
        CHECK(status.error().what.find(" is allowed") != std::string::npos);
      }
    }
  }

  TEST_CASE("spacing has its range in both directions") {
    CHECK(refusal(good_yield(), Spacing{0, 1}) == "row_spacing_m out_of_range");
    CHECK(refusal(good_yield(), Spacing{3.5, 0}) == "tree_spacing_m out_of_range");
    CHECK(refusal(good_yield(), Spacing{-3.5, 1}) == "row_spacing_m out_of_range");
    CHECK(refusal(good_yield(), Spacing{3.5, 1e9}) == "tree_spacing_m out_of_range");
    CHECK(refusal(good_fruits(), Spacing{0, 0}) == "row_spacing_m out_of_range");
  }

  TEST_CASE("exactly one way in, one fruit size and one measure of the trunk") {
    TargetInput none = good_fruits();
    none.fruits_per_tree.reset();
    CHECK(refusal(none) == "fruits_per_tree one_of");
    TargetInput two = good_yield();
    two.fruits_per_tree = 100;
    CHECK(refusal(two, Spacing{3.5, 1}) == "fruits_per_tree one_of");
    TargetInput sizes = good_yield();
    sizes.yield->fruit_size.grams = 200;
    CHECK(refusal(sizes, Spacing{3.5, 1}) == "yield.fruit_size one_of");
    TargetInput trunk = good_trunk();
    trunk.trunk->diameter_mm = 60;
    CHECK(refusal(trunk) == "trunk one_of");
  }

  TEST_CASE("what is missing is named") {
    TargetInput no_floral = good_fruits();
    no_floral.floral_fraction.reset();
    CHECK(refusal(no_floral) == "floral_fraction missing_field");
    CHECK(refusal(good_yield()) == "row_spacing_m missing_field");
  }

  TEST_CASE("a floral interval that is no interval is refused") {
    CHECK(refusal(good_fruits(), {}, Estimate{0.5, 0.6, 0.7}) ==
          "floral_fraction_low out_of_range");
    CHECK(refusal(good_fruits(), {}, Estimate{0.5, 0.4, 0.45}) ==
          "floral_fraction_high out_of_range");
    CHECK(refusal(good_fruits(), {}, Estimate{0.5, 0.4, 1.1}) ==
          "floral_fraction_high out_of_range");
    CHECK(refusal(good_fruits(), {}, Estimate{0, 0, 0.1}) == "floral_fraction out_of_range");
    CHECK(refusal(good_fruits(), {}, Estimate{std::nan(""), 0, 0.1}) ==
          "floral_fraction not_a_number");
  }

  TEST_CASE("numbers that are fine one by one but give no tree that ever stood are refused") {
    TargetInput much = good_yield();
    much.yield->amount = 9000;  // boxes an acre
    CHECK(refusal(much, Spacing{20, 20}) == "yield.amount absurd_result");
    TargetInput little = good_yield();
    little.yield->amount = 1;
    CHECK(refusal(little, Spacing{1, 0.3}) == "yield.amount absurd_result");
    TargetInput thick = good_trunk();
    thick.trunk->girth_mm = 5000;
    CHECK(refusal(thick) == "trunk.fruits_per_cm2 absurd_result");
  }

  TEST_CASE("the amount's range is told in the unit that was typed") {
    TargetInput input = good_yield();
    input.yield->amount = 0;
    input.yield->unit = YieldUnit::t_per_ha;
    const auto target = work_out_target(input, Spacing{3.5, 1});
    CHECK_FALSE(target.ok());
    if (target.ok()) return;
    CHECK(target.error().text() ==
          "yield.amount: 0 is out of range: 0.01 to 500 is allowed (out_of_range)");
  }
}
