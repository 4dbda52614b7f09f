package org.holebook.app.shell

/**
 * What other apps can share with the notebook. [label] is its name in a sentence and in forms,
 * [maxBytes] its largest size.
 */
enum class FileKind(val label: String, val maxBytes: Long) {
    /** A photo of a face. The limit is that of the shop computer's carrier for one form. */
    PHOTO("photo", 250L * 1024 * 1024),

    /** A bundle. Larger files fit neither a mail, nor a message, nor most sticks. */
    BUNDLE("bundle", 4L * 1024 * 1024 * 1024 - 1);

    /** [maxBytes] for a sentence. */
    val maxSizeText: String get() = if (this == PHOTO) "250 MB" else "4 GB"

    companion object {
        /** The kind by media type, or else by file name; `null` if it is neither. */
        fun of(type: String?, name: String): FileKind? {
            val mediaType = type.orEmpty().lowercase().substringBefore(';').trim()
            return when {
                mediaType.startsWith("image/") -> PHOTO
                mediaType in ZIP || name.endsWith(".zip", ignoreCase = true) -> BUNDLE
                else -> null
            }
        }

        /** The kind whose form field has that name; `null` if none has. */
        fun ofField(name: String): FileKind? = entries.firstOrNull { it.label == name }

        /** Media types of zip files; the first is the registered one (IANA, media types). */
        val ZIP = listOf("application/zip", "application/x-zip-compressed", "application/x-zip")
    }
}
