// Builds the app where an Android SDK and NDK are; see README.md. Elsewhere the Maven build (pom.xml) checks the same sources.

pluginManagement {
    repositories {
        google()
        mavenCentral()
        gradlePluginPortal()
    }
}

dependencyResolutionManagement {
    repositoriesMode.set(RepositoriesMode.FAIL_ON_PROJECT_REPOS)
    repositories {
        google()
        mavenCentral()
    }
}

rootProject.name = "holebook"
include(":app")
