// SPDX-License-Identifier: Apache-2.0
#include "base/json_text.h"

#include <vector>

#include "base/text.h"

namespace nthtree::base {
namespace {

using nlohmann::json;

// Builds the value while it is read and stops at the first thing that is not allowed. nlohmann's
// own builder has no depth limit and lets the last of two equal keys win in silence.
class Builder : public nlohmann::json_sax<json> {
 public:
  explicit Builder(int depth_max) : depth_max_(depth_max) {}

  json& root() { return root_; }
  const Error& error() const { return error_; }

  bool null() override { return put(nullptr); }
  bool boolean(bool value) override { return put(value); }
  bool number_integer(std::int64_t value) override { return put(value); }
  bool number_unsigned(std::uint64_t value) override { return put(value); }
  bool number_float(double value, const std::string&) override { return put(value); }
  bool string(std::string& value) override { return put(std::move(value)); }
  bool binary(json::binary_t&) override { return fail("not_json", "binary values are not JSON"); }

  bool start_object(std::size_t) override { return open(json::object()); }
  bool start_array(std::size_t) override { return open(json::array()); }
  bool end_object() override { return close(); }
  bool end_array() override { return close(); }

  bool key(std::string& value) override {
    if (stack_.back()->contains(value)) {
      return fail("doubled_key", "the key " + json_quoted(value) + " stands twice in one object");
    }
    key_ = std::move(value);
    return true;
  }

  bool parse_error(std::size_t position, const std::string&,
                   const nlohmann::detail::exception& cause) override {
    // "[json.exception.parse_error.101] parse error at line 1, column 2: …" → the part for people.
    const std::string text = cause.what();
    const std::size_t end_of_id = text.find("] ");
    error_ = {"not_json", end_of_id == std::string::npos ? text : text.substr(end_of_id + 2),
              print("byte %zu", position)};
    return false;
  }

 private:
  bool fail(const char* id, std::string what) {
    error_ = {id, std::move(what), ""};
    return false;
  }

  json* place(json value) {
    if (stack_.empty()) {
      root_ = std::move(value);
      return &root_;
    }
    json& parent = *stack_.back();
    if (parent.is_array()) {
      parent.push_back(std::move(value));
      return &parent.back();
    }
    return &(parent[key_] = std::move(value));
  }

  template <typename T>
  bool put(T&& value) {
    place(json(std::forward<T>(value)));
    return true;
  }

  bool open(json empty) {
    if (static_cast<int>(stack_.size()) >= depth_max_) {
      return fail("too_deep", print("nested deeper than the %d levels allowed", depth_max_));
    }
    // Pointers into a parent stay good: a parent grows only after its open child is closed.
    stack_.push_back(place(std::move(empty)));
    return true;
  }

  bool close() {
    stack_.pop_back();
    return true;
  }

  int depth_max_;
  json root_;
  std::vector<json*> stack_;
  std::string key_;
  Error error_;
};

// As nlohmann's writer has it for a text that is UTF-8 throughout.
std::string quoted(std::string_view text) {
  constexpr std::string_view plain = "\"\\\b\f\n\r\t", letters = "\"\\bfnrt";
  std::string all = "\"";
  for (const char c : text) {
    if (const std::size_t at = plain.find(c); at != plain.npos) {
      all += '\\';
      all += letters[at];
    } else if (static_cast<unsigned char>(c) < 0x20) {
      all += print("\\u%04x", static_cast<unsigned>(c));
    } else {
      all += c;
    }
  }
  return all + '"';
}

}  // namespace

Result<json> parse_json(std::string_view text, const JsonLimits& limits) {
  if (text.size() > limits.bytes_max) {
    return Error{"too_long",
                       print("%zu bytes, of which %zu are allowed", text.size(),
                                   limits.bytes_max),
                       ""};
  }
  Builder builder(limits.depth_max);
  if (!json::sax_parse(text.begin(), text.end(), &builder)) return builder.error();
  return std::move(builder.root());
}

std::string json_quoted(std::string_view text) {
  if (is_utf8(text)) return quoted(text);
  return json(std::string(text)).dump(-1, ' ', false, json::error_handler_t::replace);
}

}  // namespace nthtree::base
