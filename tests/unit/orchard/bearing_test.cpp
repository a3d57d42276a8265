// SPDX-License-Identifier: Apache-2.0
#include "orchard/bearing.h"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <vector>

#include "base/random.h"

using namespace nthtree::orchard;

TEST_SUITE("orchard") {
  TEST_CASE("the unit of the crop does not matter") {
    const std::vector<double> boxes = {120, 80, 130, 60};
    std::vector<double> kilograms = boxes;
    for (double& crop : kilograms) crop *= 19.05;
    CHECK(biennial_index(boxes)->mean == doctest::Approx(biennial_index(kilograms)->mean));
    CHECK(biennial_index(boxes)->pooled == doctest::Approx(biennial_index(kilograms)->pooled));
  }

  TEST_CASE("uniform yields that know nothing of each other give what chance gives") {
    nthtree::base::Random random(3);
    std::vector<double> crops(200000);
    for (double& crop : crops) crop = random.uniform();
    CHECK(biennial_index(crops)->mean == doctest::Approx(biennial_index_by_chance).epsilon(0.01));
    CHECK(biennial_index_by_chance == doctest::Approx(2 * std::log(2.0) - 1).epsilon(1e-12));
  }

  TEST_CASE("one year, a negative crop, no number: said") {
    CHECK(biennial_index(std::vector<double>{5}).error().id == "too_few_values");
    CHECK(biennial_index(std::vector<double>{5, -1}).error().id == "out_of_range");
    CHECK(biennial_index(std::vector<double>{5, std::nan("")}).error().id == "out_of_range");
    CHECK(biennial_index(std::vector<double>{0, 0})->mean == 0);
  }
}
