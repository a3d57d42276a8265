// SPDX-License-Identifier: Apache-2.0
//
// A form on a screen: fields with what was typed, or else the value that stands; what is wrong is
// said beside the field, with the value and what is allowed. Nothing is kept before all is right:
// keeping a form that is wrong shows the first wrong field, and the button says how many there are.
//
// Private to this folder. Typed text lives in session.fields until the form is kept or left.
//
//   open(frame, {…, .actions = {{.id = "keep", .label = keep_label(frame, tr("edit.keep"))}}});
//   Form form(frame);
//   auto rows = form.number({.id = "rows", .label = tr("edit.rows"), .range = limits::rows});
//   if (frame.bar.action == "keep") form.keep(body);
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/body_fields.h"
#include "orchard/limits.h"
#include "screens/parts/frame.h"
#include "screens/parts/typed_number.h"

namespace nthtree::screens {

// What the button that keeps a form says: after a try, how many fields are still wrong.
std::string keep_label(const Frame& frame, const std::string& label);
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
  std::size_t bytes_max = ledger::name_bytes_max;  // a letter of some scripts takes three or four
  bool optional = false;
  std::string hint;
};

class Form {
 public:
  explicit Form(Frame& frame) : frame_(frame) {}
  ~Form();  // after a try: tells the session how many fields are wrong by now
  Form(const Form&) = delete;
  Form& operator=(const Form&) = delete;

  std::optional<double> number(const NumberField& field);  // empty where wrong or left empty
  std::string text(const TextLine& line);
  std::string date(const TextLine& line);  // ISO day or empty
  int choice(const std::string& id, const std::string& label, const std::vector<std::string>& items,
             int value);  // two to four
  int list(const std::string& id, const std::string& label, const std::vector<std::string>& items,
           int value);
  // The same as one line, which a tap opens and a choice closes.
  int folded_list(const std::string& id, const std::string& label,
                  const std::vector<std::string>& items, int value);
  bool flag(const std::string& id, const std::string& label, bool value);
  bool ok() const { return wrong_.count == 0; }
  // Keeping was tried in vain: every error shows, and the first wrong field comes into view.
  void show_wrong();
  // The end of a form: keeps the body as a record where all is right, or else shows every error.
  void keep(ledger::Body body);
  // What stands in a field now: typed, or else `value`.
  std::string standing(const std::string& id, const std::string& value) const;

 private:
  struct Wrong {
    int count = 0;
    std::string first;  // id of the field
    std::string words;  // what is read of it
  };
  bool tried() const { return frame_.session.fields_tried; }
  void fail(const std::string& id, const std::string& label, const std::string& error);
  void ask_which(const NumberField& field, const TypedNumber& typed);

  Frame& frame_;
  Wrong wrong_;
};

}  // namespace nthtree::screens
