// SPDX-License-Identifier: Apache-2.0
#include "hub/log.h"

#include <chrono>
#include <cstdio>
#include <ctime>

#include "base/text.h"

namespace nthtree::hub {
namespace {

constexpr const char* level_names[] = {"info", "warning", "error"};

// Names come from phones: nothing in a value may end a line or be an order to a terminal.
std::string value_text(std::string_view value) {
  const bool is_plain = value.find_first_of(" \"=\\") == value.npos && !value.empty();
  std::string text;
  for (const char c : value) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte < 0x20 || byte == 0x7f) {
      text += base::print("\\x%02x", byte);
    } else {
      if (c == '"' || c == '\\') text += '\\';
      text += c;
    }
  }
  return is_plain ? text : '"' + text + '"';
}

std::string now_text() {
  const auto now = std::chrono::system_clock::now();
  const std::time_t seconds = std::chrono::system_clock::to_time_t(now);
  const auto ms = std::chrono::duration_cast<std::chrono::milliseconds>(now.time_since_epoch());
  std::tm utc{};
  gmtime_r(&seconds, &utc);
  char text[32];
  std::strftime(text, sizeof text, "%Y-%m-%dT%H:%M:%S", &utc);
  return base::print("%s.%03dZ", text, static_cast<int>(ms.count() % 1000));
}

}  // namespace

std::string log_text(Level level, std::string_view event, std::initializer_list<Field> fields) {
  std::string line = std::string("level=") + level_names[static_cast<int>(level)] + " event=";
  line += event;
  for (const auto& [name, value] : fields) {
    (line += ' ') += name;
    (line += '=') += value_text(value);
  }
  return line;
}

void log(Level level, std::string_view event, std::initializer_list<Field> fields) {
  const std::string line = "time=" + now_text() + ' ' + log_text(level, event, fields) + '\n';
  std::fwrite(line.data(), 1, line.size(), stderr);
}

}  // namespace nthtree::hub
