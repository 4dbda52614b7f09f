// Builds the app with an Android SDK and NDK; see README.md. Without them, the Maven build
// (pom.xml) checks the same sources.

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
