// SPDX-License-Identifier: Apache-2.0
#include "widgets/mirror.h"

#include <doctest/doctest.h>

#include <cstdio>
#include <nlohmann/json.hpp>

using namespace nthtree::widgets;

TEST_SUITE("widgets") {
  TEST_CASE("the mirror is JSON that says every state a control has") {
    Mirror mirror;
    const std::vector<Control> controls = {
        {.id = "page", .role = Role::main, .rect = {0, 0, 360, 740}},
        {.id = "t", .role = Role::toggle, .label = "Say \"hi\"\n\\", .hint = "why",
         .enabled = false, .checked = Tri::yes, .rect = {1.4f, 2.6f, 100, 56}, .parent = 0},
        {.id = "bar", .role = Role::progress, .label = "Sent", .minimum = 0, .maximum = 1,
         .now = 0.25f, .parent = 0},
        {.id = "name", .role = Role::textbox, .label = "Name", .parent = 0, .numeric = true},
    };
    REQUIRE(mirror.changed(controls));
    const auto json = nlohmann::json::parse(mirror.json(), nullptr, false);
    REQUIRE(json.is_array());
    REQUIRE(json.size() == 4);
    CHECK(json[0]["r"] == "main");
    CHECK(json[1]["l"] == "Say \"hi\"\n\\");
    CHECK(json[1]["d"] == 1);
    CHECK(json[1]["c"] == 1);
    CHECK(json[1]["p"] == 0);
    CHECK(json[1]["x"] == nlohmann::json::parse("[1,3,100,56]"));
    CHECK(json[2]["m"][2] == doctest::Approx(0.25));
    CHECK(json[3]["v"] == "");
    CHECK(json[3]["t"] == "number");
  }

  TEST_CASE("how far a bar is has three digits, as the C library writes them") {
    for (const float now : {0.0f, -0.0f, 1.0f, 0.25f, 1.0f / 3, 9.996f, 99.96f, 123.4f, -12.75f,
                            999.4f, 999.6f, 0.1f, 0.0996f, 0.01f, 0.00999f, 0.0012345f, 1e-5f,
                            1e9f}) {
      Mirror mirror;
      REQUIRE(mirror.changed({{.id = "bar", .role = Role::progress, .label = "Sent",
                               .minimum = 0, .maximum = 2e9f, .now = now}}));
      char wanted[32];
      std::snprintf(wanted, sizeof wanted, ",%.3g]", static_cast<double>(now));
      CAPTURE(wanted);
      CHECK(mirror.json().find(wanted) != std::string::npos);
    }
  }

  TEST_CASE("an unchanged list is not written again") {
    Mirror mirror;
    std::vector<Control> controls = {{.id = "a", .label = "A"}};
    CHECK(mirror.changed(controls));
    CHECK_FALSE(mirror.changed(controls));
    controls[0].label = "B";
    CHECK(mirror.changed(controls));
  }
}
