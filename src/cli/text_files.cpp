// SPDX-License-Identifier: Apache-2.0
#include "cli/text_files.h"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <filesystem>

#include "base/text.h"

namespace nthtree::cli {

base::Status each_part(const std::string& path, std::size_t bytes_max,
                       const std::function<void(std::string_view)>& take) {
  const bool standard_input = path == "-";
  const std::string where = standard_input ? "standard input" : path;
  std::error_code ignored;
  if (!standard_input && std::filesystem::is_directory(path, ignored)) {
    return base::Error{"cannot_read", "is a folder", where};
  }
  std::FILE* file = standard_input ? stdin : std::fopen(path.c_str(), "rb");
  if (!file) return base::Error{"cannot_read", std::strerror(errno), where};
  char buffer[65536];
  std::size_t bytes = 0;
  for (std::size_t n; (n = std::fread(buffer, 1, sizeof buffer, file)) > 0;) {
    bytes += n;
    if (bytes > bytes_max) break;
    take({buffer, n});
  }
  const bool failed = std::ferror(file) != 0;
  if (!standard_input) std::fclose(file);
  if (failed) return base::Error{"cannot_read", "reading stopped early", where};
  if (bytes > bytes_max) {
    return base::Error{"too_long", base::print("more than the %zu bytes allowed", bytes_max),
                       where};
  }
  return base::Ok{};
}

base::Result<std::string> read_text(const std::string& path, std::size_t bytes_max) {
  std::string text;
  const auto read = each_part(path, bytes_max, [&](std::string_view part) { text.append(part); });
  if (!read) return read.error();
  return text;
}

base::Status write_text(const std::string& path, const std::string& text) {
  const std::string beside = path + base::print(".new-%d", static_cast<int>(getpid()));
  std::FILE* file = std::fopen(beside.c_str(), "wb");
  if (!file) return base::Error{"cannot_write", std::strerror(errno), path};
  bool good = std::fwrite(text.data(), 1, text.size(), file) == text.size();
  good = std::fflush(file) == 0 && fsync(fileno(file)) == 0 && good;
  good = std::fclose(file) == 0 && good;
  good = good && std::rename(beside.c_str(), path.c_str()) == 0;
  if (good) return base::Ok{};
  const std::string cause = std::strerror(errno);
  std::remove(beside.c_str());
  return base::Error{"cannot_write", cause, path};
}

}  // namespace nthtree::cli
