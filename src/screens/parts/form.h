// SPDX-License-Identifier: Apache-2.0
//
// A form on a screen: fields with what was typed, or else the value that stands; what is wrong is
// said beside the field, with the value and what is allowed. Nothing is kept before all is right.
//
// Private to this folder. Typed text lives in session.fields until the form is kept or left.
//
//   Form form(scene);
//   auto rows = form.number({.id = "rows", .label = tr("edit.rows"), .range = limits::rows});
//   if (scene.bar.action == "keep") form.keep(body);
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "orchard/limits.h"
#include "screens/parts/scene.h"

namespace nthtree::screens {

// A number as people type it: comma or point, spaces around. Nothing where it is none.
std::optional<double> parse_number(std::string_view text);
// Plain text of a number for a field: no grouping, no trailing zeros.
std::string field_number(double value, int decimals);
// The number of fewest decimals, two at most, that is no further than `slack` from the value: what
// somebody typed in another unit before it was converted and kept to the centimetre.
double roundest(double value, double slack);

struct NumberField {
  std::string id;
  std::string label;
  std::optional<double> value;  // what stands; empty where nothing does yet
  orchard::Range range;
  int decimals = 0;
  bool optional = false;  // may stay empty
  std::string hint;
};

struct TextLine {
  std::string id;
  std::string label;
  std::string value;
  int letters_max = 60;
  bool optional = false;
  std::string hint;
};

class Form {
 public:
  explicit Form(Scene& scene) : scene_(scene) {}

  std::optional<double> number(const NumberField& field);  // empty where wrong or left empty
  std::string text(const TextLine& line);
  std::string date(const TextLine& line);  // ISO day or empty
  int choice(const std::string& id, const std::string& label, const std::vector<std::string>& items,
             int value);  // two to four
  int list(const std::string& id, const std::string& label, const std::vector<std::string>& items,
           int value);
  bool flag(const std::string& id, const std::string& label, bool value);
  void fail() { ok_ = false; }
  bool ok() const { return ok_; }
  // The end of a form: keeps the body as a record where all is right, or else shows every error.
  void keep(ledger::Body body);
  // What stands in a field now: typed, or else `value`.
  std::string standing(const std::string& id, const std::string& value) const;

 private:
  Scene& scene_;
  bool ok_ = true;
};

}  // namespace nthtree::screens
