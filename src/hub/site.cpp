// SPDX-License-Identifier: Apache-2.0
#include "hub/site.h"

#include <filesystem>
#include <fstream>
#include <iterator>

#include "hub/limits.h"
#include "sync/digest.h"

namespace nthtree::hub {
namespace {

namespace fs = std::filesystem;

constexpr std::pair<std::string_view, std::string_view> content_types[] = {
    {".html", "text/html; charset=utf-8"},
    {".js", "text/javascript; charset=utf-8"},
    {".css", "text/css; charset=utf-8"},
    {".wasm", "application/wasm"},  // anything else and the browser does not compile while loading
    {".json", "application/json"},
    {".webmanifest", "application/manifest+json"},
    {".svg", "image/svg+xml"},
    {".png", "image/png"},
    {".ico", "image/x-icon"},
    {".ttf", "font/ttf"},
    {".woff2", "font/woff2"},
    {".txt", "text/plain; charset=utf-8"},
};

std::string content_type_of(const fs::path& path) {
  for (const auto& [ending, type] : content_types) {
    if (path.extension() == ending) return std::string(type);
  }
  return "application/octet-stream";
}

base::Result<std::string> read_file(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::string bytes{std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
  if (!file.good() && !file.eof()) return base::Error{"no_file", "cannot be read", path.string()};
  return bytes;
}

}  // namespace

const SiteFile* Site::find(std::string_view target) const {
  target = target.substr(0, target.find('?'));
  const auto file = files_.find(target == "/" ? std::string_view("/index.html") : target);
  return file == files_.end() ? nullptr : &file->second;
}

base::Result<Site> load_site(const std::string& folder) {
  std::error_code error;
  if (!fs::is_directory(folder, error)) {
    return base::Error{"no_folder", "is not a folder", folder};
  }
  Site site;
  std::size_t bytes = 0, files = 0;
  for (const auto& entry : fs::recursive_directory_iterator(folder, error)) {
    if (!entry.is_regular_file()) continue;
    const fs::path& path = entry.path();
    bytes += entry.file_size();
    if (bytes > site_bytes_max || ++files > site_files_max) {
      return base::Error{"too_long", "holds more than an app's bundle", folder};
    }
    if (path.extension() == ".br") continue;
    auto plain = read_file(path);
    if (!plain) return plain.error();
    SiteFile file;
    file.bytes = std::move(*plain);
    file.content_type = content_type_of(path);
    file.tag = '"' + sync::hexadecimal(sync::sha256(file.bytes)).substr(0, 32) + '"';
    const fs::path compressed = path.string() + ".br";
    if (fs::exists(compressed, error)) {
      auto brotli = read_file(compressed);
      if (!brotli) return brotli.error();
      file.brotli = std::move(*brotli);
    }
    site.add("/" + fs::relative(path, folder).generic_string(), std::move(file));
  }
  if (error) return base::Error{"no_folder", error.message(), folder};
  return site;
}

}  // namespace nthtree::hub
