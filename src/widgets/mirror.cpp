// SPDX-License-Identifier: Apache-2.0
#include "widgets/mirror.h"

#include <charconv>
#include <cmath>
#include <initializer_list>
#include <utility>

#include "base/text.h"

namespace nthtree::widgets {
namespace {

void quote(std::string& out, const std::string& text) {
  out += '"';
  for (char c : text) {
    if (c == '"' || c == '\\') {
      out += '\\';
      out += c;
    } else if (c == '\n') {
      out += "\\n";
    } else if (static_cast<unsigned char>(c) < 0x20) {
      out += ' ';
    } else {
      out += c;
    }
  }
  out += '"';
}

void key_of(std::string& out, char key) {
  out += ",\"";
  out += key;
  out += "\":";
}

void text(std::string& out, char key, const std::string& value) {
  if (value.empty()) return;
  key_of(out, key);
  quote(out, value);
}

// Not snprintf: a screen has a hundred of them, and they are written after every tap.
void digits(std::string& out, long value) {
  char text[24];
  out.append(text, std::to_chars(text, text + sizeof text, value).ptr);
}

void integer(std::string& out, char key, long value) {
  key_of(out, key);
  digits(out, value);
}

void whole_numbers(std::string& out, char key, std::initializer_list<long> values) {
  key_of(out, key);
  char before = '[';
  for (const long value : values) {
    out += std::exchange(before, ',');
    digits(out, value);
  }
  out += ']';
}

void tri(std::string& out, char key, Tri value) {
  if (value != Tri::none) integer(out, key, value == Tri::yes ? 1 : 0);
}

// Three digits, as "%.3g" has them; of ordinary numbers by way of "%.2f".
std::string three_digits(double value) {
  const double size = std::fabs(value);
  if (size >= 999.5 || (size < 0.001 && size != 0)) return base::print("%.3g", value);
  int decimals = size == 0 ? 0 : 2;
  for (double from = 10; decimals > 0 && size >= from; from *= 10) --decimals;
  for (double below = 1; size != 0 && size < below; below /= 10) ++decimals;
  std::string text = base::print("%.*f", decimals, value);
  if (decimals > 0) text.resize(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text;
}

void decimal(std::string& out, float value) {
  out += three_digits(static_cast<double>(value));
}

void write(std::string& out, const Control& control) {
  out += "{\"i\":";
  quote(out, control.id);
  text(out, 'r', role_name(control.role));
  text(out, 'l', control.label);
  // A field's emptiness matters: it must clear the input element.
  if (control.role == Role::textbox || control.role == Role::date) {
    out += ",\"v\":";
    quote(out, control.value);
  } else {
    text(out, 'v', control.value);
  }
  text(out, 'h', control.hint);
  if (control.parent >= 0) integer(out, 'p', control.parent);
  if (!control.enabled) integer(out, 'd', 1);
  tri(out, 'e', control.pressed);
  tri(out, 'c', control.checked);
  tri(out, 's', control.selected);
  if (control.current) integer(out, 'u', 1);
  if (control.level > 0) integer(out, 'n', control.level);
  if (control.set_size > 0) whole_numbers(out, 'a', {control.position, control.set_size});
  if (control.maximum > control.minimum) {
    out += ",\"m\":[";
    decimal(out, control.minimum);
    out += ',';
    decimal(out, control.maximum);
    out += ',';
    decimal(out, control.now);
    out += ']';
  }
  if (control.numeric) text(out, 't', "number");
  if (control.multiline) text(out, 't', "long");
  const Rect& box = control.rect;
  whole_numbers(out, 'x', {std::lround(box.x), std::lround(box.y), std::lround(box.w),
                           std::lround(box.h)});
  out += '}';
}

}  // namespace

const char* role_name(Role role) {
  switch (role) {
    case Role::button: return "button";
    case Role::link: return "link";
    case Role::toggle: return "switch";
    case Role::radio: return "radio";
    case Role::tab: return "tab";
    case Role::textbox: return "textbox";
    case Role::date: return "date";
    case Role::spinbutton: return "spinbutton";
    case Role::heading: return "heading";
    case Role::text: return "text";
    case Role::image: return "img";
    case Role::status: return "status";
    case Role::alert: return "alert";
    case Role::progress: return "progressbar";
    case Role::banner: return "banner";
    case Role::navigation: return "navigation";
    case Role::main: return "main";
    case Role::footer: return "contentinfo";
    case Role::group: return "group";
    case Role::radiogroup: return "radiogroup";
    case Role::tablist: return "tablist";
    case Role::list: return "list";
    case Role::listitem: return "listitem";
    case Role::table: return "table";
    case Role::row: return "row";
    case Role::column_header: return "columnheader";
    case Role::cell: return "cell";
    case Role::dialog: return "dialog";
  }
  return "text";
}

bool Mirror::changed(const std::vector<Control>& controls) {
  std::string now = "[";
  now.reserve(json_.size() + 64);
  for (const Control& control : controls) {
    if (now.size() > 1) now += ",\n";
    write(now, control);
  }
  now += ']';
  if (now == json_) return false;
  json_ = std::move(now);
  return true;
}

}  // namespace nthtree::widgets
